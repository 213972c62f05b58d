using Hushtrial.Store.Captures;
using Hushtrial.Web.Recordings;
using Hushtrial.Web.Work;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Pages;

/// <summary>The pages that look into the recordings.</summary>
internal static class SoundPages
{
    /// <summary>Maps them.</summary>
    public static void MapSoundPages(this IEndpointRouteBuilder app)
    {
        app.MapGet("/trials/{id:guid}/takes", (Guid id, HttpContext context, CalibrationDesk calibrations) =>
            Reading.Trial<TakesPage>(context, id, (view, parameters) => parameters["Calibrations"] = calibrations.Of(view.Trial)));
        app.MapGet("/trials/{id:guid}/capture", (Guid id, HttpContext context, CaptureShelf shelf) =>
            Reading.Trial<CapturePage>(context, id, (_, parameters) => parameters["Captures"] = shelf.Of(id)));
        app.MapGet("/trials/{id:guid}/ground", (Guid id, HttpContext context, CalibrationDesk calibrations, Shelf recordings) =>
            Reading.Trial<GroundPage>(context, id, (view, parameters) => parameters["State"] = GroundState.Of(view.Trial, view.State.IsOf(view.Trial) ? view.State.Results : null, calibrations, recordings)));
        app.MapGet("/trials/{id:guid}/calibrate", (Guid id, HttpContext context, CalibrationDesk calibrations) =>
            Reading.Trial<CalibratePage>(context, id, (view, parameters) => parameters["Calibrations"] = calibrations.Of(view.Trial)));
    }
}

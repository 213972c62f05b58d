using System.IO.Compression;
using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Wording;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Listening;
using Hushtrial.Trials.Results;
using Hushtrial.Web.Language;
using Hushtrial.Web.Pages;
using Hushtrial.Web.Work;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Recordings;

/// <summary>The page that lets the cabin and its residuals be heard, and what it plays. Speech stays out unless the address says 'speech=yes'.</summary>
internal static class HearDoors
{
    /// <summary>Maps the endpoints.</summary>
    public static void MapHearing(this IEndpointRouteBuilder app)
    {
        const string at = "/trials/{id:guid}/hear";
        app.MapGet(at, (Guid id, HttpContext context) => Reading.Trial<HearPage>(context, id));
        app.MapGet(at + "/sounds", (Guid id, string? speech, HttpContext context, TrialLibrary library, Desk desk, ResidualDesk residuals, CancellationToken cancellation) =>
            Rendered(id, speech, context, library, desk, residuals, (set, results, t) => Results.Json(new
            {
                rate = set.SampleRate,
                seconds = set.Seconds,
                source = Phrasebook.Say(ResidualClips.Source(set, results)),
                revision = desk.State(id).Revision,
                sounds = set.Sounds.Select((s, place) => new
                {
                    place,
                    name = s.Planned is null ? t["The cabin"] : Phrasebook.Say(s.Name),
                    estimate = s.Planned?.LossA is { } loss ? t.Number(loss) : "",
                    rendered = s.Planned is null ? "" : t.Number(set.Sounds[0].LevelA - s.LevelA),
                    deviation = s.Planned is null ? "" : t.Number(s.WorstDeviation),
                    share = s.Planned is null ? "" : t.Number(100 * s.FilledShare, 0),
                    remarks = s.Planned is { } planned ? ResidualClips.Remarks(planned).Select(Phrasebook.Say) : [],
                }),
            }), cancellation));
        app.MapGet(at + "/{place:int}.wav", (Guid id, int place, int revision, string? speech, HttpContext context, TrialLibrary library, Desk desk, ResidualDesk residuals, CancellationToken cancellation) =>
            Rendered(id, speech, context, library, desk, residuals, (set, _, t) => desk.State(id).Revision != revision ? Refused(StatusCodes.Status409Conflict, t["The trial has changed in the meantime: prepare the sounds again."])
                : place >= 0 && place < set.Sounds.Count ? Results.Bytes(ResidualClips.Wave(set, set.Sounds[place]), "audio/wav") : Results.NotFound(), cancellation));
        app.MapGet(at + ".zip", (Guid id, string? speech, int? revision, HttpContext context, ResidualDesk residuals, CancellationToken cancellation) => HeadResults.AnswerAsync(id, revision, context, async (results, trial) =>
            await residuals.OfAsync(trial, results, speech == "yes", cancellation) is { } set ? Results.Bytes(Archive(ResidualClips.Files(set, results)), "application/zip", "hear-it.zip") : Nothing(results, Tongue.Of(context))));
    }

    private static async Task<IResult> Rendered(Guid id, string? speech, HttpContext context, TrialLibrary library, Desk desk, ResidualDesk residuals, Func<ResidualSounds, TrialResults, Tongue, IResult> answer, CancellationToken cancellation)
    {
        var t = Tongue.Of(context);
        if (library.Find(id) is not { } trial) return Results.NotFound();
        if (desk.State(id).Results is not { } results) return Refused(StatusCodes.Status404NotFound, t["There are no results yet."]);
        return await residuals.OfAsync(trial, results, speech == "yes", cancellation) is { } set ? answer(set, results, t)
            : Nothing(results, t);
    }

    private static IResult Nothing(TrialResults results, Tongue t) =>
        Refused(StatusCodes.Status422UnprocessableEntity, t["Nothing can be made audible: {0}.", Phrasebook.Say(ResidualPlan.Of(results).WhyNot ?? "neither a recording nor a spectrum of the open ear is there")]);

    private static byte[] Archive(IReadOnlyList<ExportFile> files)
    {
        using var bytes = new MemoryStream();
        using (var archive = new ZipArchive(bytes, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach (var file in files)
            {
                using var entry = archive.CreateEntry(file.Name, file.Name.EndsWith(".wav", StringComparison.Ordinal) ? CompressionLevel.Fastest : CompressionLevel.Optimal).Open();
                entry.Write(file.Content.Span);
            }
        }
        return bytes.ToArray();
    }

    private static IResult Refused(int status, string words) => Results.Text(words, "text/plain; charset=utf-8", statusCode: status);
}

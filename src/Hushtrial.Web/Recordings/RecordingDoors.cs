using System.Globalization;
using Hushtrial.Signals.Levels;
using Hushtrial.Store.Library;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Recordings;

/// <summary>What a page may ask of a recording: its level history, a close view, a stretch to listen to. Channels count from 1, times are seconds from its start.</summary>
internal static class RecordingDoors
{
    private const string Bytes = "application/octet-stream";

    /// <summary>Maps the endpoints.</summary>
    public static void MapRecordings(this IEndpointRouteBuilder app)
    {
        const string at = "/trials/{id:guid}/recordings/{recording}";
        app.MapGet(at + "/levels", LevelsAsync);
        app.MapGet(at + "/near", (Guid id, string recording, int channel, double from, double to, double step, TrialLibrary library, Shelf shelf, CancellationToken cancellation) =>
            Of(id, recording, channel, library, shelf, (loan, samples, _) => !IsSpan(from, to, CloseView.MostSeconds) || !(step is >= 0.01 and <= 0.1) ? OutOfRange(CloseView.MostSeconds)
                : Results.Bytes(CloseView.Levels(samples, channel - 1, from, to, Math.Round(step, 3), cancellation), Bytes)));
        app.MapGet(at + "/extremes", (Guid id, string recording, int channel, double from, double to, int columns, TrialLibrary library, Shelf shelf, CancellationToken cancellation) =>
            Of(id, recording, channel, library, shelf, (loan, samples, _) => !IsSpan(from, to, CloseView.MostSeconds) || columns is < 1 or > CloseView.MostColumns ? OutOfRange(CloseView.MostSeconds)
                : Results.Bytes(CloseView.Extremes(samples, channel - 1, from, to, columns, cancellation), Bytes)));
        app.MapGet(at + "/listen", (Guid id, string recording, int channel, double from, double to, TrialLibrary library, Shelf shelf, CancellationToken cancellation) =>
            Of(id, recording, channel, library, shelf, (loan, samples, _) => !IsSpan(from, to, double.PositiveInfinity) ? OutOfRange(Listening.MostSeconds)
                : Results.Stream(Listening.Wave(samples, channel - 1, from, Math.Min(to, from + Listening.MostSeconds), cancellation), "audio/wav")));
    }

    private static async Task LevelsAsync(Guid id, string recording, int channel, HttpContext context, TrialLibrary library, Shelf shelf, Histories histories, CancellationToken cancellation)
    {
        var response = context.Response;
        var result = Of(id, recording, channel, library, shelf, (loan, samples, sha256) =>
        {
            if (histories.Find(sha256, channel - 1) is { } path) return Results.File(path, Bytes);
            var track = histories.Track(sha256, channel - 1, samples, loan.Again);
            response.ContentLength = track.Length;
            return Results.Stream(body => track.CopyToAsync(body, cancellation), Bytes);
        });
        await result.ExecuteAsync(context);
    }

    private static IResult Of(Guid id, string recording, int channel, TrialLibrary library, Shelf shelf, Func<Loan, Signals.Recordings.SampleSource, string, IResult> answer)
    {
        if (library.Find(id) is not { } trial) return Results.NotFound();
        using var loan = shelf.Take(trial);
        if (loan.Find(recording) is not { } found) return Refused(StatusCodes.Status404NotFound, string.Create(CultureInfo.InvariantCulture, $"recording '{recording}' cannot be read"));
        var samples = found.Samples;
        if (channel < 1 || channel > samples.Channels) return Refused(StatusCodes.Status404NotFound, string.Create(CultureInfo.InvariantCulture, $"'{recording}' has {samples.Channels} channel(s), no number {channel}"));
        if (samples.SampleRate is < LevelAnalysis.LowestRate or > LevelAnalysis.HighestRate)
            return Refused(StatusCodes.Status422UnprocessableEntity, string.Create(CultureInfo.InvariantCulture, $"levels are measured at sampling rates of 16 to 192 kHz; '{recording}' has {samples.SampleRate} Hz"));
        if (samples.Frames == 0) return Refused(StatusCodes.Status422UnprocessableEntity, $"'{recording}' holds no samples");
        try
        {
            return answer(loan, samples, found.Sha256);
        }
        catch (InvalidDataException e)
        {
            return Refused(StatusCodes.Status422UnprocessableEntity, e.Message);
        }
    }

    private static bool IsSpan(double from, double to, double most) => from >= 0 && to > from && to - from <= most && double.IsFinite(to);

    private static IResult OutOfRange(double most) => Refused(StatusCodes.Status400BadRequest, string.Create(CultureInfo.InvariantCulture, $"a span of at most {most} s is wanted, from a time to a later one"));

    private static IResult Refused(int status, string words) => Results.Text(words, "text/plain; charset=utf-8", statusCode: status);
}

using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Store;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Web.Language;
using Hushtrial.Web.Recordings;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Work;

/// <summary>The wish to discard the sound, with the revision that the page showed.</summary>
internal sealed record DiscardAsked(int Revision);

/// <summary>Keeps the levels of a trial and discards its sound: an irreversible step, for which the page asks twice.</summary>
internal static class Discarding
{
    /// <summary>Maps the endpoint.</summary>
    public static void MapDiscarding(this IEndpointRouteBuilder app) =>
        app.MapPost("/trials/{id:guid}/discard-sound", async (Guid id, DiscardAsked asked, HttpContext context, TrialLibrary library, Desk desk, Shelf shelf, Histories histories, ResidualDesk residuals, CaptureShelf captures, WorkspaceSettings settings, CancellationToken cancellation) =>
        {
            var t = Tongue.Of(context);
            if (library.Find(id) is not { } trial) return Results.NotFound();
            if (trial.Revision != asked.Revision) return Refused(t["The trial has changed in the meantime: look at it again."], StatusCodes.Status409Conflict);
            if (captures.Of(id).Count > 0) return Refused(t["There are recordings of this device that are not finished: bring them in or delete them first."]);
            var date = settings.Clock.GetLocalNow().ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            var (kept, fingerprints, why) = await Task.Run(() => Keep(library, trial, date, t, cancellation), cancellation);
            if (kept.Count == 0) return Refused(why!);
            // Nobody may hold the sound open, and no history may be written behind its back.
            shelf.Forget(id);
            residuals.Forget(id);
            await histories.ForgetAsync(fingerprints);
            var said = t["Sound discarded on {0}; band levels kept.", date];
            var note = trial.Draft.Value("method.data") is { Length: > 0 } data ? $"{data} {said}" : said;
            var outcome = library.DiscardSound(id, trial.Revision, kept, new DraftEdit.Set("method.data", note), Editing.Author(context));
            if (outcome.Problem is { } problem) return Refused(Spoken.Told(problem));
            desk.Ask(outcome.Trial!);
            desk.Tell(id, "revision");
            return Results.Json(new
            {
                revision = outcome.Trial!.Revision,
                told = outcome.Elsewhere.Count == 0 ? t["The sound is gone; the levels are kept."]
                    : t["The sound of this trial is gone; these files stay in the library because another trial has them, too: {0}.", string.Join(", ", outcome.Elsewhere)],
            });
        });

    private static (IReadOnlyDictionary<string, ReadOnlyMemory<byte>> Kept, IReadOnlyList<string> Fingerprints, string? Why) Keep(TrialLibrary library, StoredTrial trial, string date, Tongue t, CancellationToken cancellation)
    {
        var nothing = new Dictionary<string, ReadOnlyMemory<byte>>(StringComparer.Ordinal);
        using var opened = library.Open(trial);
        if (!opened.Readable) return (nothing, [], t["The trial cannot be read as it is: levels can only be kept of what can be measured. Mend it first."]);
        var inputs = opened.ToInputs();
        var proved = ProvedLevels.Of(inputs, date, null, cancellation);
        if (proved.Files.Count == 0) return (nothing, [], t["There is no sound in this trial."]);
        if (proved.Difference is { } difference) return (nothing, [], t["Nothing was discarded: the kept levels would give another answer than the sound ({0}).", Phrasebook.Say(difference)]);
        return (proved.Files.ToDictionary(f => KeptRecording.NameFor(inputs.Document.Recordings.First(r => r.Id == f.Key).Files[0]), f => f.Value), [.. proved.Files.Keys.Select(k => opened.Recording(k)?.Sha256).OfType<string>()], null);
    }

    private static IResult Refused(string words, int status = StatusCodes.Status422UnprocessableEntity) => Results.Text(words, "text/plain; charset=utf-8", statusCode: status);
}

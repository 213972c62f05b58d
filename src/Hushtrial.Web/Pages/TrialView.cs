using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Language;
using Hushtrial.Web.Work;

namespace Hushtrial.Web.Pages;

/// <summary>What a page needs besides its trial: the words and the token that its changes carry.</summary>
/// <param name="Tongue">The language.</param>
/// <param name="Token">The anti-forgery token.</param>
/// <param name="Path">Path and query of the page, for the language switch.</param>
public sealed record PageView(Tongue Tongue, string Token, string Path);

/// <summary>A trial as one page shows it: one revision, read, with what is known of its analysis.</summary>
public sealed class TrialView
{
    private readonly Lazy<IReadOnlyList<StepState>> _steps;

    /// <summary>Reads the trial for a page.</summary>
    public TrialView(PageView page, StoredTrial trial, DeskState state)
    {
        (Page, Trial, State) = (page, trial, state);
        (Document, Problems) = trial.Draft.Read();
        _steps = new(() => [.. Way.Steps.Select(s => s.Of(this))]);
    }

    /// <summary>Words and token.</summary>
    public PageView Page { get; }

    /// <summary>The stored revision.</summary>
    public StoredTrial Trial { get; }

    /// <summary>The document; null while something is missing that it cannot be read without.</summary>
    public TrialDocument? Document { get; }

    /// <summary>What the reading found, with the paths it belongs to.</summary>
    public IReadOnlyList<DraftProblem> Problems { get; }

    /// <summary>What is known of the analysis.</summary>
    public DeskState State { get; }

    /// <summary>The draft.</summary>
    public TrialDraft Draft => Trial.Draft;

    /// <summary>The words.</summary>
    public Tongue T => Page.Tongue;

    /// <summary>The way through the trial with the state of each step.</summary>
    public IReadOnlyList<StepState> Steps => _steps.Value;

    /// <summary>Title, or a stand-in for it.</summary>
    public string Title => Draft.Value("trial.title") is { Length: > 0 } title ? title : T["Trial without a title"];

    /// <summary>Address of a page of this trial.</summary>
    public string To(string page) => $"/trials/{Trial.Id:N}/{page}";

    /// <summary>Problems of one key, or of everything below it.</summary>
    public IEnumerable<DraftProblem> ProblemsAt(string path, bool below = false) => Problems.Where(p => p.Path == path
        || (below && (p.Path.StartsWith(path + ".", StringComparison.Ordinal) || p.Path.StartsWith(path + "[", StringComparison.Ordinal))));

    /// <summary>Whether a section has a problem of severity error.</summary>
    public bool HasError(string path) => ProblemsAt(path, below: true).Any(p => p.Problem.Severity == Severity.Error);

    /// <summary>Number of entries of a section.</summary>
    public int Count(string section) => Draft.Ids(section).Count;
}

using CsCheck;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class TrialDraftTests
{
    private static readonly TrialDraft _everything = FromCorpus("good.everything.yaml");

    public static TheoryData<string> Good => [.. Corpus.Names("good")];

    public static TheoryData<string> Bad => [.. Corpus.Names("bad")];

    [Theory, MemberData(nameof(Good))]
    public void A_draft_of_a_good_document_keeps_its_text_and_reads_the_same_after_an_edit(string name)
    {
        var draft = FromCorpus(name);
        Assert.Equal(Corpus.Text(name), draft.Text);
        var title = draft.Value("trial.title");
        var tidy = Done(draft, new DraftEdit.Set("trial.title", title));
        Assert.DoesNotContain('#', tidy.Text);
        AssertSame(Corpus.Read(name).Document!, tidy.Read().Document!);
        Assert.Equal(Corpus.Read(name).Problems.Select(p => (p.Code, p.Found)), tidy.Read().Problems.Select(p => (p.Problem.Code, p.Problem.Found)));
    }

    [Theory, MemberData(nameof(Bad))]
    public void A_draft_of_a_bad_document_brings_the_problems_of_the_reader_or_is_no_tree(string name)
    {
        var (draft, problems) = TrialDraft.FromStream(new MemoryStream(Corpus.Bytes(name)), name);
        var expected = Corpus.Pinned(name);
        if (draft is null) Assert.Equal(expected[..7], problems[0].Code);
        else Assert.Equal(expected, string.Concat(draft.Read().Problems.Select(p => p.Problem + "\n")));
    }

    [Fact]
    public void Every_problem_of_the_bad_documents_leads_to_a_place_that_is_there_or_is_missing()
    {
        var (placed, without) = (0, 0);
        foreach (var name in Corpus.Names("bad"))
        {
            if (TrialDraft.FromText(Corpus.Text(name), name).Draft is not { } draft) continue;
            foreach (var (problem, path) in draft.Read().Problems)
            {
                if (path.Length == 0) { without++; continue; }
                placed++;
                if (problem.Code != "DOC-012") Assert.True(draft.Value(path) is not null, $"{name}: {path}: {problem}");
            }
        }
        Assert.True(placed > 80 && without < 10, $"{placed} placed, {without} without a place.");
    }

    [Theory]
    [InlineData("devices[alder].kind", "devices[alder].kind", "DOC-012")]
    [InlineData("trial.quantity", "trial.quantity", "DOC-012")]
    [InlineData("runs[F1].start", "runs[F1].start", "DOC-029", "25:00")]
    [InlineData("devices[dogwood].published.bands", "devices[dogwood].published.bands.125", "DOC-020", "{ 125: much }")]
    [InlineData("calibrations[#1].level_db", "calibrations[#1].level_db", "DOC-021", "93,5")]
    [InlineData("takes[T03].condition", "takes[T03].condition", "DOC-041", "birch-actve")]
    public void A_problem_leads_to_its_field(string set, string path, string code, string? value = null) =>
        Assert.Contains(Done(_everything, new DraftEdit.Set(set, value)).Read().Problems, p => p.Path == path && p.Problem.Code == code);

    [Fact]
    public void An_empty_draft_says_what_it_still_needs()
    {
        var empty = TrialDraft.Empty("Crew: headset, or \"none\"?");
        Assert.Equal("Crew: headset, or \"none\"?", empty.Value("trial.title"));
        var (document, problems) = empty.Read();
        Assert.Null(document);
        Assert.Equal(["conditions", "devices", "runs", "trial.design", "trial.quantity"], problems.Select(p => p.Path).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void A_trial_can_be_made_from_nothing_by_edits()
    {
        var draft = TrialDraft.Empty("Two on a tractor");
        DraftEdit[] edits =
        [
            new DraftEdit.Set("trial.quantity", "insertion-loss"), new DraftEdit.Set("trial.design", "readings-only"),
            Entry("devices", ("id", "elm"), ("kind", "over-ear")), Entry("devices", ("id", "fir"), ("kind", "on-ear"), ("published.ratings.snr", "24"), ("other.Where bought", "fair")),
            Entry("conditions", ("id", "elm"), ("device", "elm")), Entry("conditions", ("id", "fir"), ("device", "fir")), Entry("runs", ("id", "row")),
            Entry("takes", ("id", "a"), ("condition", "open"), ("at", "9:00"), ("reading_a", "88")), Entry("takes", ("id", "c"), ("condition", "fir"), ("fit", "2"), ("at", "9:04"), ("reading_a", "71")),
            new DraftEdit.Add("takes", [new("id", "b"), new("condition", "elm"), new("fit", "1"), new("at", "9:02"), new("reading_a", "66")], Before: "c"),
        ];
        foreach (var edit in edits) draft = Done(draft, edit);
        var (document, problems) = draft.Read();
        Assert.True(document is not null, string.Join("\n", problems));
        Assert.Equal(["a", "b", "c"], document.Takes.Select(t => t.Id));
        Assert.Equal(24, document.Devices[1].Published!.Ratings[0].Value);
        Assert.Equal(new("Where bought", "fair"), document.Devices[1].Details[0]);
    }

    [Fact]
    public void Of_a_document_reads_as_that_document() =>
        AssertSame(Corpus.Read("good.everything.yaml").Document!, TrialDraft.Of(Corpus.Read("good.everything.yaml").Document!).Read().Document!);

    [Fact]
    public void A_rename_follows_every_reference()
    {
        foreach (var section in DocumentLayout.Sections.Where(s => s.HasIdentities))
            foreach (var id in _everything.Ids(section.Key))
            {
                var renamed = Done(_everything, new DraftEdit.Rename(section.Key, id, "other-name"));
                Assert.Contains("other-name", renamed.Ids(section.Key));
                Assert.True(renamed.Read().Document is not null, $"{section.Key}[{id}]: {string.Join("\n", renamed.Read().Problems)}");
                Assert.Equal(Done(_everything, new DraftEdit.Set("trial.title", "x")).Text, Done(Done(renamed, new DraftEdit.Rename(section.Key, "other-name", id)), new DraftEdit.Set("trial.title", "x")).Text);
            }
        Assert.Equal("[[b, cedar-active], [b, alder]]", Done(_everything, new DraftEdit.Rename("conditions", "birch-active", "b")).Value("trial.compare"));
    }

    [Fact]
    public void The_open_ear_is_no_condition_to_rename_and_a_fit_without_an_entry_is_one()
    {
        Assert.Equal("EDT-003", _everything.Apply(new DraftEdit.Rename("conditions", "open", "bare")).Problem!.Code);
        Assert.Equal("EDT-004", _everything.Apply(new DraftEdit.Rename("conditions", "alder", "open")).Problem!.Code);
        var renamed = Done(_everything, new DraftEdit.Rename("fits", "B1", "first-birch"));
        Assert.Equal("first-birch", renamed.Value("takes[T03].fit"));
        Assert.Equal("first-birch", renamed.Value("takes[T04].fit"));
        Assert.Equal("EDT-004", _everything.Apply(new DraftEdit.Rename("fits", "B1", "B2")).Problem!.Code);
    }

    [Theory]
    [InlineData("devices[alder].knid", "x", "EDT-002")]
    [InlineData("nowhere.at", "x", "EDT-002")]
    [InlineData("devices[oak].kind", "helmet", "EDT-003")]
    [InlineData("devices", "x", null)]
    [InlineData("devices[alder]", "x", "EDT-001")]
    [InlineData("trial.title.more", "x", "EDT-001")]
    [InlineData("trial.title", "bell\u0007", "EDT-006")]
    [InlineData("noise.other.<<", "x", "EDT-008")]
    public void What_cannot_be_done_is_a_problem(string path, string value, string? code) => Assert.Equal(code, _everything.Apply(new DraftEdit.Set(path, value)).Problem?.Code);

    [Fact]
    public void Half_a_character_is_refused() => Assert.Equal("EDT-006", _everything.Apply(new DraftEdit.Set("trial.title", "half \ud83c")).Problem!.Code);

    [Fact]
    public void Summaries_are_lines_for_people()
    {
        Assert.Equal("Device alder: kind over-ear → helmet", new DraftEdit.Set("devices[alder].kind", "helmet").Summary(_everything));
        Assert.Equal("Device alder: mass_g 390 removed", new DraftEdit.Set("devices[alder].mass_g", null).Summary(_everything));
        Assert.Equal("Measuring chain: recorder portable → fixed", new DraftEdit.Set("chain.recorder", "fixed").Summary(_everything));
        Assert.Equal("Calibration 3: level_db 127.2 → 127", new DraftEdit.Set("calibrations[#2].level_db", "127").Summary(_everything));
        Assert.Equal("Claim 1: value 30 → 25", new DraftEdit.Set("devices[birch].published.claims[#0].value", "25").Summary(_everything));
        Assert.Equal("Run F3 added", Entry("runs", ("id", "F3")).Summary(_everything));
        Assert.Equal("Take T01 removed, and one more change", new DraftEdit.Several([new DraftEdit.Remove("takes", "T01"), new DraftEdit.Remove("takes", "T02")]).Summary(_everything));
    }

    [Fact]
    public void Random_edits_never_throw_and_the_text_stays_the_draft()
    {
        var (done, refused) = (0, 0);
        // 500 drafts with 50 edits each. Reading back is the dear part: it is done for every sixteenth state.
        RandomEdits.Edit.Array[50].Sample(edits =>
        {
            var draft = _everything;
            for (var i = 0; i < edits.Length; i++)
            {
                _ = edits[i].Summary(draft);
                _ = edits[i].Touches(draft);
                var result = draft.Apply(edits[i]);
                Assert.True(result.Draft is null ^ result.Problem is null);
                Interlocked.Increment(ref result.Draft is null ? ref refused : ref done);
                draft = result.Draft ?? draft;
                if (i % 16 != 0) continue;
                var (again, problems) = TrialDraft.FromText(draft.Text, "again");
                Assert.True(again is not null, $"{string.Join("\n", problems)}\n{draft.Text}");
                Assert.Equal(Tidy(draft), Tidy(again));
                Assert.Equal(Everything(draft), Everything(again));
            }
            _ = draft.Read();
        }, iter: 500, threads: 2);
        Assert.True(done > 3_750 && refused > 5_000, $"{done} done, {refused} refused");
    }

    [Fact]
    public void Every_edit_can_be_taken_back()
    {
        var clean = Done(_everything, new DraftEdit.Set("trial.title", "x"));
        var undone = 0;
        Gen.Select(RandomEdits.Edit, RandomEdits.Edit).Sample((first, second) =>
        {
            var draft = clean;
            foreach (var edit in new[] { first, second })
            {
                if (Inverse(draft, edit) is not { } back || draft.Apply(edit).Draft is not { } changed) continue;
                Assert.Equal(draft.Text, Done(changed, back).Text);
                Interlocked.Increment(ref undone);
                draft = changed;
            }
        }, iter: 10_000, threads: 2);
        Assert.True(undone > 3000, $"{undone} undone");
    }

    private static DraftEdit? Inverse(TrialDraft before, DraftEdit edit) => edit switch
    {
        // Bands and names of one's own keep the order they were written in, so that a removed one comes back last.
        DraftEdit.Set set when !set.Path.Contains(".other.", StringComparison.Ordinal) && !set.Path.Contains("bands.", StringComparison.Ordinal) && set.Path != "hushtrial" && !set.Path.EndsWith("].id", StringComparison.Ordinal) => new DraftEdit.Set(set.Path, before.Value(set.Path)),
        DraftEdit.Add add => new DraftEdit.Remove(add.Section, add.Before is { } at ? $"#{IndexOf(before, add.Section, at)}" : $"#{before.Ids(add.Section).Count}"),
        DraftEdit.Remove remove when IndexOf(before, remove.Section, remove.Entry) is var index and >= 0 =>
            new DraftEdit.Add(remove.Section, before.Fields($"{remove.Section}[{remove.Entry}]"), index + 1 < before.Ids(remove.Section).Count ? $"#{index}" : null),
        DraftEdit.Move move when IndexOf(before, move.Section, move.Entry) is var index and >= 0 => new DraftEdit.Move(move.Section, $"#{Math.Clamp(move.To, 0, before.Ids(move.Section).Count - 1)}", index),
        _ => null,
    };

    private static int IndexOf(TrialDraft draft, string section, string entry) => draft.Ids(section).Select((id, i) => (id, i)).Where(e => e.id == entry || "#" + e.i == entry).Select(e => e.i).FirstOrDefault(-1);

    private static DraftEdit.Add Entry(string section, params (string Key, string Value)[] fields) => new(section, [.. fields.Select(f => new KeyValuePair<string, string>(f.Key, f.Value))]);

    /// <summary>The text without the comments and layout of a hand-written one.</summary>
    private static string Tidy(TrialDraft draft) => Done(draft, new DraftEdit.Several([new DraftEdit.Set("noise.remarks", "to be removed"), new DraftEdit.Set("noise.remarks", draft.Value("noise.remarks"))])) is { } tidy ? tidy.Text : "";

    private static List<string> Everything(TrialDraft draft)
    {
        var all = new List<string>();
        foreach (var section in DocumentLayout.Sections)
            foreach (var path in section.IsList ? draft.Ids(section.Key).Select(id => $"{section.Key}[{id}]") : [section.Key])
                all.AddRange(draft.Fields(path).Select(f => $"{path}.{f.Key} = {f.Value}"));
        return all;
    }

    private static TrialDraft Done(TrialDraft draft, DraftEdit edit)
    {
        var (changed, problem) = draft.Apply(edit);
        Assert.True(changed is not null, problem?.ToString());
        return changed;
    }

    private static void AssertSame(TrialDocument expected, TrialDocument actual) => Assert.Equal(DocumentEquality.Of(expected), DocumentEquality.Of(actual));

    private static TrialDraft FromCorpus(string name) => TrialDraft.FromText(Corpus.Text(name), name).Draft!;
}

using Hushtrial.Store.Files;
using Hushtrial.Store.Library;

namespace Hushtrial.Acceptance.Tests;

/// <summary>Command line and library are two doors to one trial.</summary>
internal static class LibraryRoundTrip
{
    /// <summary>Takes a trial's folder into a library, opens it there, and writes it out again by both ways.</summary>
    public static void Of(string folder)
    {
        using var temporary = new TemporaryFolder();
        using var library = TrialLibrary.Open(temporary["library"], TimeProvider.System);
        var taken = library.ImportFolder(folder);
        Assert.True(taken.Trial is not null, string.Join("\n", taken.Problems));
        // Results and report are made again; nothing else is left out.
        Assert.Equal(["IMP-013"], taken.Problems.Select(p => p.Code));
        using (var zip = File.Create(temporary["trial.zip"])) library.ExportZip(taken.Trial.Id, zip);
        using (var zip = File.OpenRead(temporary["trial.zip"])) Assert.Empty(library.ImportZip(zip, new()).Problems);
        library.ExportFolder(library.List()[0].Id, temporary["out"]);
        using var before = TrialFolder.Open(folder);
        using var inside = library.Open(taken.Trial);
        using var after = TrialFolder.Open(temporary["out"]);
        Assert.True(after.Readable && inside.Readable);
        Assert.Equal(before.Inputs, after.Inputs);
        Assert.Equal(before.Inputs, inside.Inputs);
        Assert.Equal(before.Problems, inside.Problems);
        foreach (var input in before.Inputs) Assert.Equal(File.ReadAllBytes(Path.Combine(folder, input.File)), File.ReadAllBytes(Path.Combine(temporary["out"], input.File)));
    }
}

public sealed class TractorLibraryTests
{
    [Fact]
    public async Task The_tractor_goes_into_a_library_and_out_again_byte_for_byte()
    {
        using var temporary = new TemporaryFolder();
        await CommandRun.Of("demo", temporary["demo"], "--scenario", "tractor", "--format", "json");
        LibraryRoundTrip.Of(temporary["demo"]);
    }
}

using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Report;

namespace Hushtrial.Tests.Samples;

/// <summary>Writes the samples beside the test program, for eyes.</summary>
public sealed class Gallery
{
    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public async Task Samples_are_written_for_eyes(string name)
    {
        var stop = TestContext.Current.CancellationToken;
        var folder = Path.Combine(AppContext.BaseDirectory, "gallery", name);
        var results = All.Of(name);
        Directory.CreateDirectory(Path.Combine(folder, "figures"));
        await File.WriteAllTextAsync(Path.Combine(folder, "report.html"), await HtmlReport.RenderAsync(results), stop);
        foreach (var file in ResultExports.Files(results)) await File.WriteAllBytesAsync(Path.Combine(folder, file.Name), file.Content, stop);
        Assert.True(new FileInfo(Path.Combine(folder, "report.html")).Length > 10_000);
    }
}

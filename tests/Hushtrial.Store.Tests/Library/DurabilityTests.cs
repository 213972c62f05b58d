using Hushtrial.Store.Library;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Tests.Library;

public sealed class DurabilityTests : IDisposable
{
    private readonly LibraryFixture _at = new();

    public void Dispose() => _at.Dispose();

    [Fact]
    public void A_commit_waits_for_the_disk_on_every_connection()
    {
        // Two at the same time: the second one cannot be the first one again.
        var options = LibraryContext.Embedded(Path.Combine(_at.Library.Folder, "library.db"));
        using var first = new LibraryContext(options);
        using var second = new LibraryContext(options);
        foreach (var context in new[] { first, second })
        {
            context.Database.OpenConnection();
            Assert.Equal(("wal", "2", "1", "20000"), (Pragma(context, "journal_mode"), Pragma(context, "synchronous"), Pragma(context, "foreign_keys"), Pragma(context, "busy_timeout")));
        }
    }

    private static string Pragma(LibraryContext context, string name)
    {
        using var command = context.Database.GetDbConnection().CreateCommand();
        command.CommandText = $"PRAGMA {name}";
        return Convert.ToString(command.ExecuteScalar(), System.Globalization.CultureInfo.InvariantCulture)!;
    }
}

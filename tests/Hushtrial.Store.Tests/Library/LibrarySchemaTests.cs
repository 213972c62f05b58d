using Hushtrial.Store.Library;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Tests.Library;

public sealed class LibrarySchemaTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("schema-").FullName;

    public void Dispose()
    {
        SqliteConnection.ClearAllPools();
        Directory.Delete(_folder, recursive: true);
    }

    private string Database => Path.Combine(_folder, "library.db");

    private LibraryContext Context() => new(LibraryContext.Embedded(Database));

    /// <summary>A change of the model needs a step from the version before, and a new pinned file.</summary>
    [Fact]
    public void The_tables_of_version_1_are_as_they_were_shipped()
    {
        using var context = Context();
        var script = context.Database.GenerateCreateScript().ReplaceLineEndings("\n").TrimEnd() + "\n";
        var pinned = Path.Combine(Reference.Root, "corpus", "library", "tables-1.sql");
        if (!File.Exists(pinned) || File.ReadAllText(pinned) != script)
        {
            var received = Path.Combine(Reference.Root, "artifacts", "received", "corpus", "library", "tables-1.sql");
            Directory.CreateDirectory(Path.GetDirectoryName(received)!);
            File.WriteAllText(received, script);
        }
        Assert.Equal(File.ReadAllText(pinned), script);
    }

    [Fact]
    public void A_library_of_version_1_opens()
    {
        Old();
        using var library = TrialLibrary.Open(_folder, TimeProvider.System);
        Assert.Equal("kept", Assert.Single(library.List()).Title);
    }

    [Fact]
    public void Steps_lead_to_the_newest_version_all_or_none()
    {
        Old();
        using (var context = Context())
            Assert.ThrowsAny<Exception>(() => LibrarySchema.Prepare(context, ["CREATE TABLE remarks (id INTEGER PRIMARY KEY)", "no statement at all"]));
        using (var context = Context())
        {
            Assert.Equal(1, context.Schema.Single().Version);
            Assert.Equal(0, Tables(context, "remarks"));
            LibrarySchema.Prepare(context, ["CREATE TABLE remarks (id INTEGER PRIMARY KEY)", "ALTER TABLE remarks ADD COLUMN words TEXT"]);
        }
        using (var context = Context())
        {
            Assert.Equal(3, context.Schema.Single().Version);
            Assert.Equal(1, Tables(context, "remarks"));
            Assert.Equal("kept", context.Trials.Single().Title);
            LibrarySchema.Prepare(context, ["CREATE TABLE remarks (id INTEGER PRIMARY KEY)", "ALTER TABLE remarks ADD COLUMN words TEXT"]);
        }
        Assert.Contains("newer program", Assert.Throws<WrongUseException>(() => TrialLibrary.Open(_folder, TimeProvider.System)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_folder_that_cannot_be_one_is_said_in_words()
    {
        File.WriteAllText(Path.Combine(_folder, "file"), "");
        Assert.Throws<WrongUseException>(() => TrialLibrary.Open(Path.Combine(_folder, "file"), TimeProvider.System));
        File.WriteAllText(Database, "this is no database, but a text of some length that somebody put there by mistake");
        Assert.Throws<WrongUseException>(() => TrialLibrary.Open(_folder, TimeProvider.System));
    }

    /// <summary>A database as version 1 made it, from the pinned statements and not from today's model.</summary>
    private void Old()
    {
        using var connection = new SqliteConnection($"Data Source={Database}");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = File.ReadAllText(Path.Combine(Reference.Root, "corpus", "library", "tables-1.sql"))
            + "INSERT INTO schema VALUES (1, 1);"
            + "INSERT INTO trials (Id, Title, Created, Changed, Head, Latest, Devices, Takes, Recordings) VALUES ('0198A6B2-0000-7000-8000-000000000001', 'kept', '2026-05-14 10:00:00', '2026-05-14 10:00:00', 1, 1, 0, 0, 0);";
        command.ExecuteNonQuery();
        command.CommandText = "INSERT INTO revisions (TrialId, Number, Author, Summary, At, Text) VALUES ('0198A6B2-0000-7000-8000-000000000001', 1, '', 'Begun', '2026-05-14 10:00:00', $text)";
        command.Parameters.AddWithValue("$text", RevisionText.Pack(TrialDraft.Empty("kept").Text));
        command.ExecuteNonQuery();
    }

    private static int Tables(LibraryContext context, string name) => context.Database.SqlQuery<int>($"SELECT COUNT(*) AS \"Value\" FROM sqlite_master WHERE name = {name}").Single();
}

using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>Makes the tables of a new database and brings an older one up to date.</summary>
/// <remarks>Version and steps are our own (docs/decisions/0030): a process that is killed in a step leaves the database as it was
/// before the step, and no lock behind.</remarks>
internal static class LibrarySchema
{
    /// <summary>The statements that lead from version 1 to 2, from 2 to 3 …</summary>
    private static readonly IReadOnlyList<string> _steps = [];

    /// <summary>Brings the database to the version of this program.</summary>
    /// <exception cref="WrongUseException">A newer program has written it.</exception>
    public static void Prepare(LibraryContext context) => Prepare(context, _steps);

    internal static void Prepare(LibraryContext context, IReadOnlyList<string> steps)
    {
        context.Database.ExecuteSqlRaw("PRAGMA journal_mode = WAL");
        using var transaction = context.Database.BeginTransaction();
        var current = steps.Count + 1;
        if (!Exists(context))
        {
            context.Database.ExecuteSqlRaw(context.Database.GenerateCreateScript().Replace("{", "{{", StringComparison.Ordinal).Replace("}", "}}", StringComparison.Ordinal));
            context.Schema.Add(new SchemaRow { Id = 1, Version = current });
            context.SaveChanges();
        }
        else
        {
            var schema = context.Schema.Single();
            if (schema.Version > current) throw new WrongUseException(FormattableString.Invariant($"the library was written by a newer program (layout {schema.Version}; this one knows {current}). Open it with that one."));
            for (; schema.Version < current; schema.Version++) context.Database.ExecuteSqlRaw(steps[schema.Version - 1]);
            context.SaveChanges();
        }
        transaction.Commit();
    }

    private static bool Exists(LibraryContext context) => context.Database.SqlQueryRaw<int>("SELECT COUNT(*) AS \"Value\" FROM sqlite_master WHERE name = 'schema'").Single() > 0;
}

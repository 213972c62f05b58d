using System.Data;
using System.Data.Common;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Microsoft.EntityFrameworkCore.Storage;
using Microsoft.EntityFrameworkCore.Storage.ValueConversion;

namespace Hushtrial.Store.Library;

/// <summary>The model of the library's database. Nothing in it is of one database alone.</summary>
internal sealed class LibraryContext(DbContextOptions<LibraryContext> options) : DbContext(options)
{
    public DbSet<TrialRow> Trials => Set<TrialRow>();

    public DbSet<RevisionRow> Revisions => Set<RevisionRow>();

    public DbSet<FileRow> Files => Set<FileRow>();

    public DbSet<ContentRow> Contents => Set<ContentRow>();

    public DbSet<UploadRow> Uploads => Set<UploadRow>();

    public DbSet<SchemaRow> Schema => Set<SchemaRow>();

    /// <summary>The options for an embedded database.</summary>
    public static DbContextOptions<LibraryContext> Embedded(string file) => new DbContextOptionsBuilder<LibraryContext>()
        .UseSqlite($"Data Source={file}").AddInterceptors(new DurableConnection()).Options;

    /// <summary>A transaction that sees one state and keeps no writer waiting. The embedded database's ordinary ones wait for the right to write.</summary>
    public IDbContextTransaction BeginReading()
    {
        if (Database.GetDbConnection() is not SqliteConnection embedded) return Database.BeginTransaction(IsolationLevel.RepeatableRead);
        Database.OpenConnection();
        return Database.UseTransaction(embedded.BeginTransaction(deferred: true))!;
    }

    protected override void ConfigureConventions(ModelConfigurationBuilder configurationBuilder) =>
        configurationBuilder.Properties<DateTimeOffset>().HaveConversion<UtcConverter>();

    protected override void OnModelCreating(ModelBuilder modelBuilder)
    {
        modelBuilder.Entity<TrialRow>(t =>
        {
            t.ToTable("trials").HasKey(r => r.Id);
            t.Property(r => r.Id).ValueGeneratedNever();
        });
        modelBuilder.Entity<RevisionRow>(t =>
        {
            t.ToTable("revisions").HasKey(r => new { r.TrialId, r.Number });
            t.HasOne<TrialRow>().WithMany().HasForeignKey(r => r.TrialId).OnDelete(DeleteBehavior.Cascade);
        });
        modelBuilder.Entity<FileRow>(t =>
        {
            t.ToTable("files").HasKey(r => new { r.TrialId, r.Name });
            t.HasOne<TrialRow>().WithMany().HasForeignKey(r => r.TrialId).OnDelete(DeleteBehavior.Cascade);
            t.HasOne<ContentRow>().WithMany().HasForeignKey(r => r.Sha256).OnDelete(DeleteBehavior.Restrict);
        });
        modelBuilder.Entity<ContentRow>(t =>
        {
            t.ToTable("contents").HasKey(r => r.Sha256);
            t.Property(r => r.Sha256).HasMaxLength(64);
        });
        modelBuilder.Entity<UploadRow>(t =>
        {
            t.ToTable("uploads").HasKey(r => r.Id);
            t.Property(r => r.Id).ValueGeneratedNever();
            t.HasOne<TrialRow>().WithMany().HasForeignKey(r => r.TrialId).OnDelete(DeleteBehavior.Cascade);
        });
        modelBuilder.Entity<SchemaRow>(t =>
        {
            t.ToTable("schema").HasKey(r => r.Id);
            t.Property(r => r.Id).ValueGeneratedNever();
        });
    }

    /// <summary>A moment in UTC: no database orders moments with zones, or keeps the zone, as all others do.</summary>
    private sealed class UtcConverter() : ValueConverter<DateTimeOffset, DateTime>(v => v.UtcDateTime, v => new DateTimeOffset(DateTime.SpecifyKind(v, DateTimeKind.Utc)));

    /// <summary>What holds for one connection only has to be said on each: a commit is on disk before it is acknowledged.</summary>
    private sealed class DurableConnection : DbConnectionInterceptor
    {
        public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData)
        {
            using var command = connection.CreateCommand();
            command.CommandText = "PRAGMA busy_timeout = 20000; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;";
            command.ExecuteNonQuery();
        }
    }
}

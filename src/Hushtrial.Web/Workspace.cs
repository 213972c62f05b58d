using System.Text.Encodings.Web;
using System.Text.Unicode;
using Hushtrial.Store;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;
using Hushtrial.Web.Assets;
using Hushtrial.Web.Capturing;
using Hushtrial.Web.Doors;
using Hushtrial.Web.Language;
using Hushtrial.Web.Pages;
using Hushtrial.Web.Recordings;
using Hushtrial.Web.Work;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Hushtrial.Web;

/// <summary>The workspace: the library's trials as local pages. Reachable from this machine alone.</summary>
public sealed class Workspace : IAsyncDisposable
{
    private readonly WebApplication _app;
    private readonly VisitKey _key;

    private Workspace(WebApplication app, VisitKey key) => (_app, _key) = (app, key);

    /// <summary>The address to open, with the key in it; known once it runs.</summary>
    public string Address => $"{Root}/enter?key={_key.Text}";

    /// <summary>Scheme, name and port.</summary>
    public string Root => _app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First();

    /// <summary>The trials.</summary>
    public TrialLibrary Library => _app.Services.GetRequiredService<TrialLibrary>();

    /// <summary>The address that leads to one trial, with the key in it.</summary>
    public string AddressOf(Guid trial, string page) => $"{Address}&to={Uri.EscapeDataString($"/trials/{trial:N}/{page}")}";

    /// <summary>Opens the library and starts to answer.</summary>
    /// <exception cref="WrongUseException">The port is taken, or the folder cannot be used.</exception>
    public static async Task<Workspace> StartAsync(WorkspaceSettings settings, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(settings);
        var builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions { ContentRootPath = AppContext.BaseDirectory });
        builder.WebHost.UseKestrelCore().ConfigureKestrel(options =>
        {
            options.AddServerHeader = false;
            options.Listen(System.Net.IPAddress.Loopback, settings.Port);
            options.Limits.MaxRequestBodySize = 8 * 1024 * 1024;
        });
        VisitKey key;
        TrialLibrary library;
        try
        {
            key = VisitKey.Of(settings.Folder);
            library = TrialLibrary.Open(settings.Folder, settings.Clock);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new WrongUseException($"the folder '{settings.Folder}' cannot be used: {e.Message}");
        }
        builder.Services.AddRouting();
        builder.Services.AddSingleton(library);
        builder.Services.AddSingleton<Desk>();
        builder.Services.AddSingleton(_ => new CaptureShelf(library, settings.Clock));
        builder.Services.AddSingleton<LeadDesk>();
        builder.Services.AddSingleton(settings.Clock);
        builder.Services.AddSingleton<Shelf>();
        builder.Services.AddSingleton<CalibrationDesk>();
        builder.Services.AddSingleton<ResidualDesk>();
        builder.Services.AddSingleton(_ => new Histories(library.HistoriesFolder));
        builder.Services.AddSingleton<RecordingFacts>();
        builder.Services.AddSingleton<LogFacts>();
        builder.Services.AddSingleton(settings);
        builder.Services.AddSingleton(HtmlEncoder.Create(UnicodeRanges.All));
        builder.Services.AddRazorComponents();
        builder.Services.AddDataProtection().SetApplicationName("hushtrial").PersistKeysToFileSystem(new DirectoryInfo(Path.Combine(settings.Folder, "keys")));
        builder.Services.AddAntiforgery(options =>
        {
            options.HeaderName = "X-Token";
            options.Cookie.Name = "hushtrial-form";
            options.Cookie.SameSite = SameSiteMode.Strict;
        });
        var app = builder.Build();
        app.UseDoorkeeper(key);
        app.UseSpoken();
        app.UseRouting();
        app.UseToken();
        app.MapAssets();
        app.MapPages();
        app.MapResults();
        app.MapSoundPages();
        app.MapRecordings();
        app.MapHearing();
        app.MapProposals();
        app.MapEditing();
        app.MapIntake();
        app.MapDiscarding();
        app.MapPlanning();
        app.MapCaptures();
        app.MapLeading();
        try
        {
            await app.StartAsync(cancellation);
        }
        catch (IOException e)
        {
            await app.DisposeAsync();
            throw new WrongUseException($"port {settings.Port} cannot be used: {e.Message}");
        }
        return new(app, key);
    }

    /// <summary>Waits until it is told to stop.</summary>
    public Task WaitAsync(CancellationToken cancellation) => _app.WaitForShutdownAsync(cancellation);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        var library = Library;
        await _app.StopAsync(CancellationToken.None);
        await _app.DisposeAsync();
        library.Dispose();
    }
}

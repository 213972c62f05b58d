using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Hushtrial.Web.Tests;

/// <summary>A program that knows the key and speaks to the workspace without a browser.</summary>
public sealed partial class Visitor : IDisposable
{
    private readonly HttpClient _client;

    private Visitor(HttpClient client) => _client = client;

    /// <summary>The token of the page that it read last.</summary>
    public string Token { get; set; } = "";

    /// <summary>One that has shown the key and read the front page.</summary>
    public static async Task<Visitor> EnterAsync(Workspace workspace)
    {
        var visitor = new Visitor(new HttpClient(new HttpClientHandler { CookieContainer = new CookieContainer(), AllowAutoRedirect = false }) { BaseAddress = new Uri(workspace.Root) });
        (await visitor._client.GetAsync(new Uri(workspace.Address))).EnsureSuccessStatusCode();
        visitor.Token = TokenIn().Match(await visitor._client.GetStringAsync(new Uri("/", UriKind.Relative))).Groups["token"].Value;
        return visitor;
    }

    /// <summary>One request, with the token where it has one.</summary>
    public async Task<HttpResponseMessage> AskAsync(string method, string path, object? json = null, params (string Name, string Value)[] headers)
    {
        using var request = new HttpRequestMessage(new HttpMethod(method), new Uri(path, UriKind.Relative));
        if (json is HttpContent content) request.Content = content;
        else if (json is not null) request.Content = new StringContent(JsonSerializer.Serialize(json), Encoding.UTF8, "application/json");
        if (Token.Length > 0) request.Headers.Add("X-Token", Token);
        foreach (var (name, value) in headers)
            if (name == "Host") request.Headers.Host = value;
            else request.Headers.TryAddWithoutValidation(name, value);
        return await _client.SendAsync(request);
    }

    /// <summary>Uploads a file in one piece; gives the answer of the last request that was made.</summary>
    public async Task<HttpResponseMessage> UploadAsync(Guid trial, string name, byte[] bytes)
    {
        var begun = await AskAsync("POST", $"/trials/{trial:N}/uploads", null, ("Upload-Length", bytes.Length.ToString(System.Globalization.CultureInfo.InvariantCulture)), ("Upload-Metadata", $"filename {Convert.ToBase64String(Encoding.UTF8.GetBytes(name))}"));
        if (begun.StatusCode != HttpStatusCode.Created) return begun;
        using var body = new ByteArrayContent(bytes);
        body.Headers.ContentType = new("application/offset+octet-stream");
        return await AskAsync("PATCH", begun.Headers.Location!.ToString(), body, ("Upload-Offset", "0"));
    }

    /// <inheritdoc/>
    public void Dispose() => _client.Dispose();

    [GeneratedRegex("<meta name=\"token\" content=\"(?<token>[^\"]+)\"", RegexOptions.ExplicitCapture)]
    private static partial Regex TokenIn();
}

using System.Net;
using System.Net.Http.Headers;
using System.Text;
using Hushtrial.Trials.Document;

namespace Hushtrial.Web.Tests.Doors;

/// <summary>Requests that no page of ours makes: refused in words, and nothing is changed.</summary>
public sealed class MalformedRequestTests(OneBrowser browser)
{
    [Fact]
    public async Task Each_is_refused_with_a_sentence()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var trial = workspace.Workspace.Library.Create(TrialDraft.Empty("As it was"), "Begun").Id;
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        var edits = new[]
        {
            """{ "add": { "section": "devices" } }""", """{ "add": { "fields": { "id": "x" } } }""", """{ "add": { "section": "devices", "fields": { "id": null } } }""", """{ "add": { "section": null, "fields": null } }""",
            """{ "several": [null] }""", """{ "several": [] }""", """{ "several": [{ "several": [null] }] }""", """{ "set": { "value": "x" } }""", """{ "set": { "path": null } }""",
            """{ "remove": { "section": "devices" } }""", """{ "move": { "to": 1 } }""", """{ "rename": { "section": "devices", "id": "x" } }""", """{ "set": { "path": "trial.title", "value": "y" }, "several": [null] }""", "7", "null",
        };
        foreach (var edit in edits) await RefusedAsync(visitor, $"/trials/{trial:N}/edits", Json($$"""{ "revision": 1, "edit": {{edit}} }"""), edit);
        foreach (var body in new[] { """{ "revision": """, "null", "[]", "" }) await RefusedAsync(visitor, $"/trials/{trial:N}/edits", Json(body), body);
        foreach (var body in new[] { """{ "path": null }""", "{}", """{ "path": " " }""", """{ "path": "\"\"" }""", "null" }) await RefusedAsync(visitor, $"/trials/{trial:N}/local-files", Json(body), body);
        await RefusedAsync(visitor, "/import", null, "no form");
        await RefusedAsync(visitor, "/import", Json("{}"), "no form, JSON");
        foreach (var (type, body) in new[] { ("multipart/form-data", "x"), ("multipart/form-data; boundary=XX", "--XX\r\nContent-Disposition: form-data; name=\"file\"; filename=\"trial.yaml\"\r\n\r\ntrial:"), ("multipart/form-data; boundary=XX", "--XX\r\nno header\r\n"), ("multipart/form-data; boundary=XX", "") })
        {
            using var content = new ByteArrayContent(Encoding.UTF8.GetBytes(body));
            content.Headers.ContentType = MediaTypeHeaderValue.Parse(type);
            await RefusedAsync(visitor, "/import", content, $"{type}: {body}");
        }
        Assert.Equal("As it was", workspace.Workspace.Library.Find(trial)!.Title);
        Assert.Equal(1, workspace.Workspace.Library.Find(trial)!.Revision);
        Assert.Single(workspace.Workspace.Library.List());
    }

    [Fact]
    public async Task A_document_in_another_encoding_is_refused_by_name_and_not_taken_with_its_letters_lost()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        using var visitor = await Visitor.EnterAsync(workspace.Workspace);
        const string text = "hushtrial: 1\ntrial: { title: Prüfung am Weinberg }\n";
        foreach (var (encoding, taken) in new[] { (Encoding.Latin1, false), (Encoding.UTF32, false), (Encoding.UTF8, true), (Encoding.Unicode, true), (Encoding.BigEndianUnicode, true) })
        {
            using var form = new MultipartFormDataContent();
            using var file = new ByteArrayContent([.. encoding.GetPreamble(), .. encoding.GetBytes(text)]);
            form.Add(file, "file", "trial.yaml");
            using var answer = await visitor.AskAsync("POST", "/import", form);
            Assert.True(answer.StatusCode == (taken ? HttpStatusCode.Redirect : HttpStatusCode.UnprocessableEntity), $"{encoding.WebName}: {answer.StatusCode}");
            if (!taken) Assert.Contains("DOC-002", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        }
        Assert.Equal(["Prüfung am Weinberg"], workspace.Workspace.Library.List().Select(t => t.Title).Distinct());
        Assert.Equal(3, workspace.Workspace.Library.List().Count);
    }

    private static StringContent Json(string text) => new(text, Encoding.UTF8, "application/json");

    private static async Task RefusedAsync(Visitor visitor, string path, HttpContent? content, string what)
    {
        using var answer = await visitor.AskAsync("POST", path, content);
        var words = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.StatusCode == HttpStatusCode.BadRequest, $"{path} {what}: {(int)answer.StatusCode} {words}");
        Assert.True(words.Length > 10, $"{path} {what}: no words");
    }
}

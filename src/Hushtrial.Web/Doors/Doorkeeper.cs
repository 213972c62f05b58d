using Hushtrial.Web.Language;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;

namespace Hushtrial.Web.Doors;

/// <summary>What every request must pass: a loopback name, the visit key, and for whatever changes something a page of our own as its origin and the anti-forgery token.</summary>
internal static class Doorkeeper
{
    /// <summary>Nothing from outside, no inline script, no inline style, no frame around us.</summary>
    public const string Policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; media-src 'self' blob:; worker-src 'self'; "
        + "font-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

    private static readonly HashSet<string> _hosts = new(StringComparer.OrdinalIgnoreCase) { "127.0.0.1", "localhost", "[::1]", "::1" };

    /// <summary>Puts the doorkeeper before everything else.</summary>
    public static void UseDoorkeeper(this WebApplication app, VisitKey key)
    {
        app.Use(async (context, next) =>
        {
            var (request, response) = (context.Request, context.Response);
            Headers(response);
            // A foreign name that resolves to this machine must not turn a foreign page into one of ours.
            if (!_hosts.Contains(request.Host.Host))
            {
                await RefuseAsync(response, StatusCodes.Status421MisdirectedRequest, "This address is not the workspace's.");
                return;
            }
            if (request.Path.StartsWithSegments("/assets", StringComparison.Ordinal) || request.Path == "/favicon.ico")
            {
                await next(context);
                return;
            }
            if (request.Path == "/enter" && HttpMethods.IsGet(request.Method) && key.Fits(request.Query["key"]))
            {
                response.Cookies.Append(VisitKey.Cookie, key.Text, new CookieOptions { HttpOnly = true, SameSite = SameSiteMode.Strict, IsEssential = true, MaxAge = TimeSpan.FromDays(400), Path = "/" });
                // A redirect would come from the page that held the link, and a strict cookie stays at home then: the page itself goes on.
                response.ContentType = "text/html; charset=utf-8";
                // The next request must not carry this address on, key and all.
                response.Headers["Referrer-Policy"] = "no-referrer";
                var to = Local(request.Query["to"]);
                await response.WriteAsync($"<!DOCTYPE html><html lang=\"en\"><meta charset=\"utf-8\"><title>Hushtrial</title><meta http-equiv=\"refresh\" content=\"0;url={System.Net.WebUtility.HtmlEncode(to)}\"><a href=\"{System.Net.WebUtility.HtmlEncode(to)}\">Hushtrial</a>");
                return;
            }
            if (!key.Fits(request.Cookies[VisitKey.Cookie]))
            {
                await RefuseAsync(response, StatusCodes.Status401Unauthorized, Tongue.Of(context)["This workspace opens by the whole address that the terminal printed when it was started; it holds a key. Open that address once in this browser."]);
                return;
            }
            if (!HttpMethods.IsGet(request.Method) && !HttpMethods.IsHead(request.Method) && !IsOurOwn(request))
            {
                await RefuseAsync(response, StatusCodes.Status403Forbidden, "A page of another place may not change anything here.");
                return;
            }
            await next(context);
        });
    }

    /// <summary>A path of this workspace, or its front page.</summary>
    private static string Local(string? path) => path is { Length: > 0 } && path[0] == '/' && (path.Length == 1 || path[1] is not ('/' or '\\')) && !path.Any(char.IsControl) ? path : "/";

    private static bool IsOurOwn(HttpRequest request)
    {
        if (request.Headers["Sec-Fetch-Site"] is { Count: > 0 } site && site != "same-origin" && site != "none") return false;
        return request.Headers.Origin is not { Count: > 0 } origin || string.Equals(origin, $"{request.Scheme}://{request.Host.Value}", StringComparison.OrdinalIgnoreCase);
    }

    private static void Headers(HttpResponse response)
    {
        var headers = response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "same-origin";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers["Permissions-Policy"] = "camera=(), geolocation=(), payment=(), usb=()";
        headers.CacheControl = "no-store";
    }

    private static Task RefuseAsync(HttpResponse response, int status, string words)
    {
        response.StatusCode = status;
        response.ContentType = "text/plain; charset=utf-8";
        return response.WriteAsync(words + "\n");
    }
}

using Hushtrial.Web.Language;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.Extensions.DependencyInjection;

namespace Hushtrial.Web.Doors;

/// <summary>The anti-forgery token: whatever changes something carries it, in a header or a form field.</summary>
internal static class Token
{
    /// <summary>COR_E_IO.</summary>
    private const int EndOfStream = unchecked((int)0x80131620);

    /// <summary>Refuses changes without it, and what cannot be understood.</summary>
    public static void UseToken(this WebApplication app)
    {
        var antiforgery = app.Services.GetRequiredService<IAntiforgery>();
        app.Use(async (context, next) =>
        {
            var method = context.Request.Method;
            var changes = !HttpMethods.IsGet(method) && !HttpMethods.IsHead(method) && !HttpMethods.IsOptions(method);
            if (changes && context.Request.HasFormContentType)
                try
                {
                    await ReadFormAsync(context);
                }
                // A stream that ends too early has the general number; one of the disk's, for a large form waits there, has its own and goes on.
                catch (Exception e) when (e is InvalidDataException or BadHttpRequestException or IOException { HResult: EndOfStream })
                {
                    await NotUnderstoodAsync(context, (e as BadHttpRequestException)?.StatusCode ?? StatusCodes.Status400BadRequest);
                    return;
                }
            if (changes && !await antiforgery.IsRequestValidAsync(context))
            {
                context.Response.StatusCode = StatusCodes.Status403Forbidden;
                context.Response.ContentType = "text/plain; charset=utf-8";
                await context.Response.WriteAsync("The page is too old to change anything. Load it again.\n");
                return;
            }
            await next(context);
            // What the framework could not bind it refuses without a word.
            if (context.Response is { HasStarted: false, StatusCode: StatusCodes.Status400BadRequest, ContentType: null }) await NotUnderstoodAsync(context, StatusCodes.Status400BadRequest);
        });
    }

    /// <summary>The token of a form is looked for among its fields, so that the form is read here, before its endpoint: what may be large is told by the endpoint's metadata.</summary>
    private static async Task ReadFormAsync(HttpContext context)
    {
        if (context.GetEndpoint()?.Metadata.GetMetadata<LargeForm>() is null)
        {
            await context.Request.ReadFormAsync();
            return;
        }
        if (context.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit) limit.MaxRequestBodySize = null;
        await context.Request.ReadFormAsync(new FormOptions { MultipartBodyLengthLimit = long.MaxValue });
    }

    private static async Task NotUnderstoodAsync(HttpContext context, int status)
    {
        context.Response.StatusCode = status;
        context.Response.ContentType = "text/plain; charset=utf-8";
        await context.Response.WriteAsync(Tongue.Of(context)["The request is not whole, or not one that this workspace knows. Load the page again."]);
    }
}

/// <summary>Marks an endpoint whose form brings files of any size; they wait on disk.</summary>
internal sealed class LargeForm;

using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.Extensions.DependencyInjection;

namespace Hushtrial.Web.Doors;

/// <summary>The anti-forgery token: whatever changes something carries it, in a header or a form field.</summary>
internal static class Token
{
    /// <summary>Refuses changes without it.</summary>
    public static void UseToken(this WebApplication app)
    {
        var antiforgery = app.Services.GetRequiredService<IAntiforgery>();
        app.Use(async (context, next) =>
        {
            var method = context.Request.Method;
            // The token of a form is looked for among its fields, so that the form is read here, before its endpoint: what may be large is told by the endpoint's metadata.
            if (context.GetEndpoint()?.Metadata.GetMetadata<LargeForm>() is not null && context.Request.HasFormContentType)
            {
                if (context.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit) limit.MaxRequestBodySize = null;
                await context.Request.ReadFormAsync(new FormOptions { MultipartBodyLengthLimit = long.MaxValue });
            }
            if (!HttpMethods.IsGet(method) && !HttpMethods.IsHead(method) && !HttpMethods.IsOptions(method) && !await antiforgery.IsRequestValidAsync(context))
            {
                context.Response.StatusCode = StatusCodes.Status403Forbidden;
                context.Response.ContentType = "text/plain; charset=utf-8";
                await context.Response.WriteAsync("The page is too old to change anything. Load it again.\n");
                return;
            }
            await next(context);
        });
    }
}

/// <summary>Marks an endpoint whose form brings files of any size; they wait on disk.</summary>
internal sealed class LargeForm;

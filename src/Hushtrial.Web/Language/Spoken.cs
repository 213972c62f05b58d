using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;

namespace Hushtrial.Web.Language;

/// <summary>Puts what the rooms below say in English (figures, tables, sentences of results) into the language of the page.</summary>
internal static class Spoken
{
    /// <summary>Makes the language of each request that of its figures.</summary>
    public static void UseSpoken(this IApplicationBuilder app) => app.Use(async (context, next) =>
    {
        using (Phrasebook.Use(Tongue.Of(context).Phrases)) await next(context);
    });

    /// <summary>A page whose texts go through the phrasebook of the work under way, if it is not in English, and whose lines do not end before a unit.</summary>
    public static IResult Page(IResult page) => new InWords(page, Phrasebook.Current);

    /// <summary>What was found and what to do about it, as two sentences in the language of the work under way.</summary>
    public static string Told(Problem problem) => $"{Sentence(problem.Found)} {Phrasebook.Say(problem.Remedy)}";

    /// <summary>What the rooms below say, as a sentence: a capital in front, a full stop behind.</summary>
    public static string Sentence(string english) => Phrasebook.Say(english) is { Length: > 0 } said ? $"{char.ToUpperInvariant(said[0])}{said[1..]}{(said.EndsWith('.') ? "" : ".")}" : "";

    private sealed class InWords(IResult page, Phrasebook? book) : IResult
    {
        public async Task ExecuteAsync(HttpContext httpContext)
        {
            var response = httpContext.Response;
            var body = response.Body;
            using var written = new MemoryStream();
            response.Body = written;
            try
            {
                await page.ExecuteAsync(httpContext);
                await response.BodyWriter.FlushAsync(httpContext.RequestAborted);
            }
            finally
            {
                response.Body = body;
            }
            var html = Encoding.UTF8.GetString(written.GetBuffer(), 0, (int)written.Length);
            await body.WriteAsync(Encoding.UTF8.GetBytes(UnbrokenLines.In(book is null ? html : SpokenHtml.In(html, book))), httpContext.RequestAborted);
        }
    }
}

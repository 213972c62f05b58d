using System.Globalization;
using System.Text;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Trials.Tests.Logs;

/// <summary>A log of random levels in a random dialect is read back as the levels that were written.</summary>
public sealed class LogRoundTripTests
{
    private static readonly string[] _dateForms = ["yyyy-MM-dd", "dd.MM.yyyy", "dd/MM/yyyy", "MM/dd/yyyy", "dd-MMM-yyyy"];
    private static readonly string[] _headers = ["Start time", "Beginn", "Début", "Inicio", "Inizio"];

    [Fact]
    public void Random_levels_in_random_dialects_come_back()
    {
        var random = new Random(7);
        for (var i = 0; i < 600; i++)
        {
            var (text, encoding, levels, step, what) = Write(random);
            using var bytes = new BufferedBytes((byte[])[.. encoding.GetPreamble(), .. encoding.GetBytes(text)]);
            var proposal = LogProposal.Of(bytes, "log.csv", new LogWishes());
            Assert.True(proposal.IsComplete, $"{what}\n{string.Join("\n", proposal.Problems)}\n{text[..Math.Min(400, text.Length)]}");
            Assert.Equal("2026-05-14 09:59:50", proposal.From);
            Assert.Equal(step, proposal.Layout!.IntervalSeconds!.Value, 1e-9);
            using var log = LevelLog.Open(new LogEntry("log", "log.csv", false, null, null, null, proposal.Layout), bytes, null, null);
            Assert.Equal(levels, log.Moments.Select(m => m.Level));
            Assert.All(log.Moments.Select((m, n) => (m.Start, Expected: 35_990 + (n * step))), p => Assert.Equal(p.Expected, p.Start, 1e-6));
        }
    }

    private static (string Text, Encoding Encoding, List<double?> Levels, double Step, string What) Write(Random random)
    {
        var comma = random.Next(2) == 0;
        char[] delimiters = comma ? [';', '\t', '|'] : [';', '\t', '|', ','];
        var delimiter = delimiters[random.Next(delimiters.Length)];
        var date = _dateForms[random.Next(_dateForms.Length)];
        var end = new[] { "\n", "\r\n", "\r" }[random.Next(3)];
        double[] steps = [0.125, 1, 2, 10, 60];
        var step = steps[random.Next(steps.Length)];
        var decimals = random.Next(1, 3);
        Encoding[] encodings = [new UTF8Encoding(false), new UTF8Encoding(true), new UnicodeEncoding(false, true), new UnicodeEncoding(true, true)];
        var encoding = encodings[random.Next(encodings.Length)];
        var header = _headers[random.Next(_headers.Length)];
        var text = new StringBuilder();
        for (var n = random.Next(0, 5); n > 0; n--) text.Append("Remark ").Append(n).Append(end);
        text.Append(header).Append(delimiter).Append("LAeq").Append(delimiter).Append("LCpeak").Append(end);
        var start = new DateTime(2026, 5, 14, 9, 59, 50);
        var levels = new List<double?>();
        var count = random.Next(8, 80);
        for (var n = 0; n < count; n++)
        {
            double? level = random.Next(20) == 0 && n > 3 ? null : Math.Round(60 + (40 * random.NextDouble()), decimals);
            levels.Add(level);
            string Number(double value) => value.ToString("F" + decimals, CultureInfo.InvariantCulture).Replace('.', comma ? ',' : '.');
            text.Append(start.AddSeconds(n * step).ToString(date + " HH:mm:ss" + (step < 1 ? ".fff" : ""), CultureInfo.InvariantCulture)).Append(delimiter)
                .Append(level is { } l ? Number(l) : random.Next(2) == 0 ? "OL" : "").Append(delimiter).Append(Number(Math.Round(110 + random.NextDouble(), decimals))).Append(end);
        }
        return (text.ToString(), encoding, levels, step, $"delimiter '{delimiter}', comma {comma}, date {date}, step {step}, {encoding.EncodingName}");
    }
}

using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;

namespace Hushtrial.Trials.Tests.Logs;

/// <summary>Whatever happens to a log on its way, reading ends in rows or in problems, never in an exception.</summary>
public sealed class LogMutationTests
{
    private const int CasesPerLog = 40;

    private static readonly byte[] _signs = [.. ";,\t|\"' .:-/<>0123456789aAeEpPmMLCZhHz\n\r\0"u8, 0xff, 0xfe, 0xc3, 0x97, 0xef];

    public static TheoryData<string> Names => [.. LogCorpus.Names];

    [Theory, MemberData(nameof(Names))]
    public void Damaged_logs_are_read_or_refused(string name)
    {
        var random = new Random(20_260_514);
        var good = LogCorpus.Bytes(name);
        LogLayout? layout = null;
        for (var i = 0; i < CasesPerLog; i++)
        {
            var bytes = Damage(good, random);
            using var source = new BufferedBytes(bytes);
            var proposal = LogProposal.Of(source, name, new LogWishes());
            Assert.True(proposal.Layout is not null || proposal.Problems.Count > 0);
            if (i == 0) layout = proposal.Layout;
            // A layout confirmed for another state of the file must not bring the reading down either.
            if (layout is null) continue;
            using var log = LevelLog.Open(new LogEntry("log", name, false, null, null, null, layout), new BufferedBytes(bytes), null, null);
            var levels = log.Measure([LogSpan.Everything, LogSpan.ByClock(36_000, 36_030)]);
            Assert.All(levels.SelectMany(l => l.Columns), c => Assert.True(c.Level is null || double.IsFinite(c.Level.Value)));
        }
    }

    private static byte[] Damage(byte[] good, Random random)
    {
        var bytes = good.ToList();
        for (var n = random.Next(1, 6); n > 0; n--)
        {
            var at = bytes.Count == 0 ? 0 : random.Next(bytes.Count);
            switch (random.Next(6))
            {
                case 0 when bytes.Count > 0: bytes[at] = _signs[random.Next(_signs.Length)]; break;
                case 1 when bytes.Count > 0: bytes.RemoveRange(at, Math.Min(random.Next(1, 40), bytes.Count - at)); break;
                case 2: bytes.Insert(at, _signs[random.Next(_signs.Length)]); break;
                case 3 when bytes.Count > 0: bytes.InsertRange(at, bytes.Skip(random.Next(bytes.Count)).Take(random.Next(1, 80)).ToList()); break;
                case 4 when bytes.Count > 0: bytes[at] = (byte)random.Next(256); break;
                case 5 when random.Next(4) == 0: bytes.RemoveRange(at, bytes.Count - at); break;
                default: break;
            }
        }
        return [.. bytes];
    }
}

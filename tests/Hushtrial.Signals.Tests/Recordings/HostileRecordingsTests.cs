using System.Text;
using CsCheck;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Recordings;

public class HostileRecordingsTests
{
    /// <summary>Opens, reads the first, the last and all frames, scans: whatever the bytes, only problems may come out.</summary>
    private static void Try(byte[] bytes)
    {
        using var recording = Recording.Open(new BufferedBytes(bytes), "hostile");
        if (recording.Samples is not { } samples)
        {
            Assert.Contains(recording.Problems, p => p.Severity == Severity.Error);
            return;
        }
        Assert.InRange(recording.Frames, 1, bytes.Length);
        Assert.InRange(recording.SampleRate, 8000, 192_000);
        Assert.True(recording.Frames * recording.Layout!.Value.FrameBytes <= bytes.Length);
        var all = new double[recording.Frames];
        samples.Read(0, 0, all);
        samples.Read(recording.Channels - 1, recording.Frames - 1, all.AsSpan(0, 1));
        Assert.All(SampleScan.Of(recording, cancellation: TestContext.Current.CancellationToken), p => Assert.StartsWith("REC-03", p.Code, StringComparison.Ordinal));
        // Every problem must be sayable.
        Assert.All(recording.Problems, p => Assert.NotEmpty(p.ToString()));
    }

    [Fact]
    public void Damaged_headers_never_bring_an_exception()
    {
        // Short files, so that a mutation mostly hits the header.
        var seeds = Directory.GetFiles(GoodRecordingsTests.Folder, "good.*").Order(StringComparer.Ordinal).Select(File.ReadAllBytes).Select(b => b[..Math.Min(b.Length, 1400)]).ToArray();
        byte[] telling = [0, 1, 2, 3, 4, 8, 16, 0x7F, 0x80, 0xFE, 0xFF];
        var edit = Gen.Select(Gen.Int[0, 200], Gen.OneOf(Gen.Int[0, telling.Length - 1].Select(i => telling[i]), Gen.Byte));
        Gen.Select(Gen.Int[0, seeds.Length - 1], edit.Array[1, 6], Gen.Int[0, 9], Gen.Int[0, 1400]).Sample((seed, edits, cut, at) =>
        {
            var bytes = seeds[seed].ToArray();
            foreach (var (place, value) in edits)
                if (place < bytes.Length) bytes[place] = value;
            Try(cut == 0 ? bytes[..Math.Min(at, bytes.Length)] : bytes);
        }, iter: 20_000, seed: "0000000000000001");
    }

    [Fact]
    public void Every_beginning_of_every_good_file_is_told_plainly()
    {
        foreach (var file in Directory.GetFiles(GoodRecordingsTests.Folder, "good.*"))
        {
            var bytes = File.ReadAllBytes(file);
            for (var length = 0; length < Math.Min(bytes.Length, 300); length++) Try(bytes[..length]);
        }
    }

    [Fact]
    public void Chunks_in_any_order_with_any_content_give_the_same_samples()
    {
        string[] names = ["LIST", "JUNK", "iXML", "PEAK", "abcd", "id3 ", "bext", "cue "];
        // 'fmt ' is 1000, 'data' 1001, others are strange chunks of some length; strict: pad bytes are written.
        var others = Gen.Select(Gen.Int[0, names.Length - 1].Select(i => names[i]), Gen.Byte.Array[0, 700]).List[0, 5];
        Gen.Select(others, Gen.Int[0, 1000], Gen.Byte.Array[3, 300], Gen.Bool).Sample((strange, order, samples, pad) =>
        {
            var data = samples[..(samples.Length / 3 * 3)];
            byte[] format = [1, 0, 1, 0, 0x80, 0xBB, 0, 0, 0x80, 0x32, 2, 0, 3, 0, 24, 0];
            List<(string Name, byte[] Body)> chunks = [.. strange];
            chunks.Insert(order % (chunks.Count + 1), ("fmt ", format));
            chunks.Insert(order * 7 % (chunks.Count + 1), ("data", data));
            // Without pad bytes a reader can only find its way by the names it knows.
            if (!pad) chunks.RemoveAll(c => c.Name == "abcd");
            using var file = new MemoryStream();
            file.Write("RIFF\0\0\0\0WAVE"u8);
            foreach (var (name, body) in chunks)
            {
                file.Write(Encoding.ASCII.GetBytes(name));
                file.Write(BitConverter.GetBytes(body.Length));
                file.Write(body);
                if (pad && body.Length % 2 == 1) file.WriteByte(0);
            }
            var bytes = file.ToArray();
            BitConverter.GetBytes(bytes.Length - 8).CopyTo(bytes, 4);
            using var recording = Recording.Open(new BufferedBytes(bytes), "shuffled.wav");
            Assert.All(recording.Problems, p => Assert.Equal("REC-019", p.Code));
            if (pad) Assert.Empty(recording.Problems);
            Assert.Equal(data.Length / 3, recording.Frames);
            var read = new double[recording.Frames];
            recording.Samples!.Read(0, 0, read);
            for (var i = 0; i < read.Length; i++)
                Assert.Equal((((sbyte)data[(3 * i) + 2] << 16) | (data[(3 * i) + 1] << 8) | data[3 * i]) / 8388608.0, read[i]);
        }, iter: 2000);
    }

    [Fact]
    public void A_file_that_shrinks_while_it_is_read_is_an_exception_with_the_frame()
    {
        var bytes = new Shrinking(File.ReadAllBytes(Path.Combine(GoodRecordingsTests.Folder, "good.pcm24.wav")));
        using var recording = Recording.Open(bytes, "shrinking.wav");
        bytes.Shrink(3000);
        Assert.Contains("frame 0 of 2400", Assert.Throws<EndOfStreamException>(() => recording.Samples!.Read(0, 0, new double[2400])).Message, StringComparison.Ordinal);
    }

    private sealed class Shrinking(byte[] content) : IByteSource
    {
        private int _length = content.Length;

        public long Length => content.Length;

        public void Shrink(int length) => _length = length;

        public int Read(long offset, Span<byte> destination)
        {
            var n = (int)Math.Clamp(_length - offset, 0, destination.Length);
            content.AsSpan((int)Math.Min(offset, _length), n).CopyTo(destination);
            return n;
        }

        public void Dispose()
        {
        }
    }
}

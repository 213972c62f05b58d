using System.Text;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>The lines of a text, one after another, from a stream of any length in bounded memory.</summary>
/// <remarks>A line ends at a line feed, a carriage return, or both together. Bytes that are no characters become U+FFFD; a byte-order mark is skipped.</remarks>
internal sealed class LogLines
{
    /// <summary>No table has longer rows; a file that does is none.</summary>
    internal const int MostCharacters = 1 << 20;

    private const int BlockBytes = 1 << 16;

    private readonly Stream _stream;
    private readonly Decoder _decoder;
    private readonly byte[] _bytes = new byte[BlockBytes];
    private char[] _characters = new char[2 * BlockBytes];
    private int _from;
    private int _to;
    private int _lineStart;
    private int _lineLength;
    private bool _ended;
    private bool _first = true;

    internal LogLines(Stream stream, LogEncoding encoding) => (_stream, _decoder) = (stream, Of(encoding).GetDecoder());

    /// <summary>Number of the line, from 1.</summary>
    internal int Number { get; private set; }

    /// <summary>Whether reading ended at a line that is too long to be a row.</summary>
    internal bool IsOverlong { get; private set; }

    /// <summary>The line, without its end; valid until the next call.</summary>
    internal ReadOnlySpan<char> Line => _characters.AsSpan(_lineStart, _lineLength);

    /// <summary>Goes to the next line.</summary>
    internal bool Next()
    {
        var searched = 0;
        while (true)
        {
            var rest = _characters.AsSpan(_from, _to - _from);
            var end = rest[searched..].IndexOfAny('\n', '\r');
            if (end >= 0)
            {
                end += searched;
                // A carriage return at the end of what was read may be half of a pair.
                if (rest[end] == '\r' && end + 1 == rest.Length && !_ended) { searched = end; if (Fill()) continue; return false; }
                Take(end, rest[end] == '\r' && end + 1 < rest.Length && rest[end + 1] == '\n' ? 2 : 1);
                return true;
            }
            if (_ended)
            {
                if (rest.Length == 0) return false;
                Take(rest.Length, 0);
                return true;
            }
            searched = rest.Length;
            if (!Fill()) return false;
        }
    }

    private void Take(int length, int end)
    {
        (_lineStart, _lineLength) = (_from, length);
        _from += length + end;
        Number++;
    }

    /// <summary>Reads on; false when the line at hand is too long.</summary>
    private bool Fill()
    {
        if (_to - _from > MostCharacters) { IsOverlong = true; return false; }
        if (_from > 0)
        {
            Array.Copy(_characters, _from, _characters, 0, _to - _from);
            (_from, _to) = (0, _to - _from);
        }
        if (_characters.Length - _to < BlockBytes + 4) Array.Resize(ref _characters, 2 * _characters.Length);
        var read = _stream.Read(_bytes);
        _to += _decoder.GetChars(_bytes.AsSpan(0, read), _characters.AsSpan(_to), flush: read == 0);
        if (read == 0) _ended = true;
        if (_first && _to > 0)
        {
            _first = false;
            if (_characters[0] == '\ufeff') _from = 1;
        }
        return true;
    }

    private static Encoding Of(LogEncoding encoding) => encoding switch
    {
        LogEncoding.Utf16LittleEndian => new UnicodeEncoding(bigEndian: false, byteOrderMark: false),
        LogEncoding.Utf16BigEndian => new UnicodeEncoding(bigEndian: true, byteOrderMark: false),
        LogEncoding.Latin1 => Encoding.Latin1,
        _ => new UTF8Encoding(encoderShouldEmitUTF8Identifier: false),
    };
}

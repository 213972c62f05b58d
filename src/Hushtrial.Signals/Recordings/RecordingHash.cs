using System.Security.Cryptography;

namespace Hushtrial.Signals.Recordings;

/// <summary>The fingerprint by which a report names a recording.</summary>
public static class RecordingHash
{
    /// <summary>SHA-256 of all bytes, read once in order; 64 lower-case hexadecimal digits.</summary>
    /// <param name="bytes">The file.</param>
    /// <param name="progress">Receives the share done, 0 to 1.</param>
    /// <param name="cancellation">Stops the reading.</param>
    public static string Sha256(IByteSource bytes, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        var buffer = new byte[1 << 20];
        long at = 0;
        while (bytes.Read(at, buffer) is var n and > 0)
        {
            cancellation.ThrowIfCancellationRequested();
            hash.AppendData(buffer, 0, n);
            at += n;
            progress?.Report(Math.Min(1, (double)at / Math.Max(1, bytes.Length)));
        }
        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }
}

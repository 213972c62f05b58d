using Hushtrial.Signals.Levels;

namespace Hushtrial.Trials.Screening;

/// <summary>What the checks see of one channel in one take beside its levels.</summary>
/// <param name="Shape">Peaks, flat tops and holes of the samples.</param>
/// <param name="History">Levels of every 125 ms.</param>
/// <param name="LowDensity">Power spectral density by line up to 1.5 kHz, full scale²/Hz; null for a take shorter than 1.4 s.</param>
/// <param name="LowResolution">Distance of the lines, Hz.</param>
/// <param name="FullScale">Level of 0 dB re full scale, dB; 0 where nothing was calibrated.</param>
/// <param name="SampleRate">Hz.</param>
public sealed record ChannelSignal(SampleShape Shape, BlockHistory History, IReadOnlyList<double>? LowDensity, double LowResolution, double FullScale, int SampleRate);

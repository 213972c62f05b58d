using System.Globalization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>Draws what happens in the air-ambulance crew's flights when the recorder simply runs: tone and quiet on the ground, take-off under
/// the crew's own headset, cruise with the rows of the card (one left out, one done twice), hands at the cups, radio calls, knocks, a power change.</summary>
internal sealed class FlightScripts(Draws draws)
{
    private static readonly LossCurve _ownHeadset = new((20, 2), (63, 5), (125, 8.5), (250, 14), (500, 21), (1000, 27), (2000, 31), (4000, 36), (8000, 34), (20000, 31));

    private const double Silence = 200;
    private readonly List<Stretch> _stretches = [];
    private readonly List<HandlingNoise> _handling = [];
    private readonly List<RadioCall> _calls = [];
    private readonly List<TrueSpan> _truth = [];
    private double _clock;
    private double _vehicle;

    /// <summary>What is worn and how it sounds.</summary>
    /// <param name="Id">Identity of the condition.</param>
    /// <param name="Loss">Loss at a frequency for one donning.</param>
    private sealed record Worn(string Id, Func<double, double> Loss);

    /// <summary>Draws one flight.</summary>
    /// <param name="run">Identity of the run.</param>
    /// <param name="card">Rows of conditions; all of a row are of one device.</param>
    /// <param name="loss">Loss curve and scatter factor of a condition.</param>
    /// <param name="withGround">Whether the recording begins with the calibrator and quiet.</param>
    /// <param name="draws">Random draws; the result depends on them alone.</param>
    public static FlightScript Draw(string run, IReadOnlyList<IReadOnlyList<string>> card, Func<string, (LossCurve Curve, double Factor)> loss, bool withGround, Draws draws) =>
        new FlightScripts(draws).Make(run, card, loss, withGround);

    private FlightScript Make(string run, IReadOnlyList<IReadOnlyList<string>> card, Func<string, (LossCurve Curve, double Factor)> loss, bool withGround)
    {
        var (tone, quiet) = (0.0, 0.0);
        if (withGround)
        {
            tone = 14;
            quiet = 32;
            Hold(quiet + 1, _ => Silence);
        }
        // The crew's own headset is another one in every trial, and none of those tried.
        var (more, tilt) = (3 * draws.Normal(), 1.5 * draws.Normal());
        Func<double, double> ownLoss = f => Math.Max(0, _ownHeadset.At(f) + more + (tilt * Math.Log2(f / 700) / 3));
        Worn? on = new("", ownLoss);
        // On the ground at idle, take-off, climb: the crew wears its own headset.
        _vehicle = -12;
        Hold(Between(15, 35), on.Loss);
        Ramp(3, 14, on.Loss);
        Hold(Between(15, 40), on.Loss);
        Ramp(0, 10, on.Loss);
        Hold(Between(5, 20), on.Loss);

        var rows = Rows(card, out var skipped, out var repeated);
        var power = draws.Uniform() < 0.5 ? (int)(draws.Uniform() * rows.Count) : -1;
        var donning = 0;
        foreach (var (place, row) in rows.Index())
        {
            var conditions = card[row - 1];
            if (place == power) Ramp(_vehicle + (draws.Uniform() < 0.5 ? -1 : 1) * Between(2, 4), 4, on?.Loss ?? (_ => 0));
            if (conditions[0] == TrialDocument.OpenEar)
            {
                if (on is not null) TakeOff(on);
                on = null;
                Steady(TrialDocument.OpenEar, _ => Microphone(), Between(24, 36), 0, row);
                continue;
            }
            if (on is not null) TakeOff(on);
            donning++;
            var scatter = DonningScatter.Draw(loss(conditions[0]).Factor, draws.Normal);
            var offset = Microphone();
            var first = true;
            foreach (var id in Runs(conditions))
            {
                var curve = loss(id.Condition).Curve;
                on = new(id.Condition, f => curve.At(f) + scatter.At(f) + offset);
                if (first) PutOn(on);
                else Knock(0.2, Between(60, 75));
                first = false;
                Steady(id.Condition, on.Loss, id.Takes * Between(13, 18), donning, row);
            }
        }
        if (on is not null) TakeOff(on);
        Ramp(-4, 20, ownLoss);
        Hold(Between(10, 20), ownLoss);
        return new(run, _clock, _stretches, _handling, _calls, tone, quiet, _truth, card, skipped, repeated);
    }

    private List<int> Rows(IReadOnlyList<IReadOnlyList<string>> card, out List<int> skipped, out List<int> repeated)
    {
        var rows = Enumerable.Range(1, card.Count).ToList();
        (skipped, repeated) = ([], []);
        int Any() { var i = 1 + (int)(draws.Uniform() * (card.Count - 2)); return i; }
        if (draws.Uniform() < 0.4)
        {
            var left = Any();
            skipped.Add(rows[left]);
            rows.RemoveAt(left);
        }
        if (draws.Uniform() < 0.4 && rows.FindAll(r => card[r - 1][0] != TrialDocument.OpenEar) is { Count: > 0 } worn)
        {
            var again = worn[(int)(draws.Uniform() * worn.Count)];
            repeated.Add(again);
            rows.Insert(rows.IndexOf(again) + 1, again);
        }
        return rows;
    }

    // Takes of one condition after one another are one stretch of sound.
    private static IEnumerable<(string Condition, int Takes)> Runs(IReadOnlyList<string> conditions)
    {
        for (var i = 0; i < conditions.Count;)
        {
            var n = 1;
            while (i + n < conditions.Count && conditions[i + n] == conditions[i]) n++;
            yield return (conditions[i], n);
            i += n;
        }
    }

    private void Steady(string condition, Func<double, double> loss, double seconds, int donning, int row)
    {
        var from = _clock;
        // One hold in eight is broken by a change of power, one in seven by a call, and hands knock about once in 50 s.
        if (seconds > 26 && draws.Uniform() < 0.12)
        {
            Hold(seconds * Between(0.4, 0.6), loss);
            _truth.Add(new(from, _clock, condition, donning, row));
            Ramp(_vehicle + ((draws.Uniform() < 0.5 ? -1 : 1) * Between(2, 4)), 3, loss);
            from = _clock;
            Hold(seconds * 0.5, loss);
        }
        else
        {
            var start = _clock;
            Hold(seconds, loss);
            if (draws.Uniform() < 0.15) { var at = start + Between(2, seconds - 6); _calls.Add(new(at, at + Between(3, 9), condition == TrialDocument.OpenEar ? 88 : 84)); }
        }
        for (var t = from + Between(0, 100); t < _clock - 1; t += Between(0, 100)) _handling.Add(new(t, t + Between(0.15, 0.6), Between(82, 98)));
        _truth.Add(new(from, _clock, condition, donning, row));
    }

    private void TakeOff(Worn on)
    {
        Knock(Between(0.5, 1.5), Between(80, 100));
        Hold(Between(0.3, 0.8), on.Loss);
        var until = _clock + Between(3.5, 8);
        while (_clock < until)
        {
            Hold(Between(0.4, 1.5), _ => 0);
            Knock(Between(0.2, 0.9), Between(78, 98));
        }
    }

    private void PutOn(Worn on)
    {
        Knock(Between(0.8, 1.8), Between(80, 100));
        // The cushion closes within a second; what leaks still fades with 0.6 s.
        for (var share = 0.2; share < 1; share += 0.2) { var s = share; Hold(0.2, f => s * on.Loss(f)); }
        for (var t = 0.0; t < 2.4; t += 0.3) { var leak = 0.2 * Math.Exp(-t / 0.6); Hold(0.3, f => (1 - leak) * on.Loss(f)); }
    }

    private void Knock(double seconds, double level) => _handling.Add(new(_clock, _clock + seconds, level));

    private void Hold(double seconds, Func<double, double> loss)
    {
        var vehicle = _vehicle;
        _stretches.Add(new(_clock, _clock + seconds, f => loss(f) - vehicle));
        _clock += seconds;
    }

    private void Ramp(double to, double seconds, Func<double, double> loss)
    {
        var (from, pieces) = (_vehicle, (int)Math.Ceiling(seconds / 0.5));
        for (var i = 1; i <= pieces; i++)
        {
            _vehicle = from + ((to - from) * i / pieces);
            Hold(seconds / pieces, loss);
        }
    }

    // The microphone sits a little differently after every change.
    private double Microphone() => 0.3 * draws.Normal();

    private double Between(double least, double most) => least + ((most - least) * draws.Uniform());
}

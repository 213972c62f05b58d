using System.Text.Json;
using Hushtrial.Reporting.Exports;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Exports;

public sealed class ResultJsonTests
{
    private static readonly string[] _estimate = ["estimate", "low", "high", "standard_uncertainty", "df", "scope", "budget", "other_scope"];

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public void Keys_are_those_of_the_contract(string name)
    {
        var root = Write(All.Of(name));
        Has(root, "hushtrial", "problems", "trial", "quantity", "mode", "reference_condition", "conditions", "pairs", "claims", "exposure", "method", "inputs");
        Has(root.GetProperty("hushtrial"), "version", "schema");
        Assert.Equal(1, root.GetProperty("hushtrial").GetProperty("schema").GetInt32());
        Has(root.GetProperty("method"), "estimator", "scope", "priors", "settings");
        foreach (var p in root.GetProperty("problems").EnumerateArray()) Has(p, "code", "severity", "where", "found", "expected", "remedy", "effect_db");
        foreach (var i in root.GetProperty("inputs").EnumerateArray()) Has(i, "file", "sha256");
        foreach (var c in root.GetProperty("conditions").EnumerateArray())
        {
            Has(c, "id", "device", "mode", "fits", "takes", "loss", "ear_level", "fits_detail");
            Has(c.GetProperty("loss"), "a", "c", "bands");
            Has(c.GetProperty("loss").GetProperty("a"), _estimate);
            foreach (var b in c.GetProperty("loss").GetProperty("bands").EnumerateArray()) Has(b, [.. _estimate, "midband_hz", "valid", "reason"]);
            foreach (var f in c.GetProperty("fits_detail").EnumerateArray()) Has(f, "fit", "loss_a", "bands");
        }
        foreach (var p in root.GetProperty("pairs").EnumerateArray())
        {
            Has(p, "first", "second", "difference", "simultaneous", "verdict", "margin_db", "p_greater_0", "p_within_margin", "depends_on_prior", "more_fits_needed");
            Has(p.GetProperty("difference"), _estimate);
            Has(p.GetProperty("simultaneous"), "low95", "high95", "low90", "high90");
            Assert.Contains(p.GetProperty("verdict").GetString(), new[] { "different", "different_within_margin", "equivalent", "unresolved" });
        }
    }

    [Fact]
    public void The_leading_scope_stands_first_and_the_other_beside_it()
    {
        var results = Helicopter.Results();
        var a = Write(results).GetProperty("conditions")[2].GetProperty("loss").GetProperty("a");
        Assert.Equal("general", a.GetProperty("scope").GetString());
        // Written to 1e-6: half of that is the most it may differ.
        Assert.Equal(results.Conditions[2].Loss.A!.General!.Low, a.GetProperty("low").GetDouble(), 5e-7);
        Assert.Equal("as_worn", a.GetProperty("other_scope").GetProperty("scope").GetString());
        Assert.Equal(results.Conditions[2].Loss.A!.AsWorn!.Low, a.GetProperty("other_scope").GetProperty("low").GetDouble(), 5e-7);
        Assert.Equal(JsonValueKind.Null, a.GetProperty("df").ValueKind);
    }

    [Fact]
    public void Relative_mode_writes_no_level()
    {
        var root = Write(Helicopter.Results() with { Mode = TrialMode.Relative });
        Assert.Equal("relative", root.GetProperty("mode").GetString());
        Assert.All(root.GetProperty("conditions").EnumerateArray(), c => Assert.Equal(JsonValueKind.Null, c.GetProperty("ear_level").ValueKind));
    }

    [Fact]
    public void Two_writes_are_byte_equal_and_small_noise_is_rounded_away()
    {
        var results = Helicopter.Results();
        var nudged = results with { Pairs = [.. results.Pairs.Select(p => p with { General = p.General! with { SimultaneousLow95 = p.General!.SimultaneousLow95 + 1e-13 } })] };
        Assert.Equal(Bytes(results), Bytes(results));
        Assert.Equal(Bytes(results), Bytes(nudged));
    }

    [Fact]
    public void A_pair_without_the_leading_scope_is_unresolved_with_null_numbers()
    {
        var results = Helicopter.Results();
        var pair = Write(results with { Document = results.Document with { Scope = Trials.Document.EstimateScope.AsWorn } }).GetProperty("pairs").EnumerateArray()
            .Single(p => p.GetProperty("first").GetString() == "alder" && p.GetProperty("second").GetString() == "dogwood");
        Assert.Equal("unresolved", pair.GetProperty("verdict").GetString());
        Assert.Equal(JsonValueKind.Null, pair.GetProperty("difference").GetProperty("estimate").ValueKind);
        Assert.Equal("general", pair.GetProperty("other_scope").GetProperty("scope").GetString());
    }

    private static byte[] Bytes(TrialResults results)
    {
        using var stream = new MemoryStream();
        ResultJson.Write(results, stream);
        return stream.ToArray();
    }

    private static JsonElement Write(TrialResults results)
    {
        using var document = JsonDocument.Parse(Bytes(results));
        return document.RootElement.Clone();
    }

    private static void Has(JsonElement element, params string[] keys) => Assert.All(keys, k => Assert.True(element.TryGetProperty(k, out _), k));
}

namespace Hushtrial.Trials.Document;

/// <summary>A field in words, for the schema and the template.</summary>
internal static class DocumentMeaning
{
    public static string Of(Field field) => field.Shape switch
    {
        WordShape words => $"{field.Meaning} {string.Join("; ", words.Choices.Select(c => $"{c.Word}: {c.Meaning}"))}.",
        WordsShape words => $"{field.Meaning} {string.Join("; ", words.Choices.Select(c => $"{c.Word}: {c.Meaning}"))}.",
        NumberShape { Unit.Length: > 0 } number => $"{field.Meaning} {ScalarReading.Range("A number", number)}.",
        _ => field.Meaning,
    };
}

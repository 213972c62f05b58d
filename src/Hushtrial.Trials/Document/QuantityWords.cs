namespace Hushtrial.Trials.Document;

/// <summary>The three quantities inside sentences.</summary>
public static class QuantityWords
{
    /// <summary>'loss', 'level difference' or 'active part'.</summary>
    public static string Noun(MeasuredQuantity quantity) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => "loss",
        MeasuredQuantity.LevelDifference => "level difference",
        _ => "active part",
    };

    /// <summary>What the better one of two does: '… more than'.</summary>
    public static string MoreThan(MeasuredQuantity quantity) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => "reduces more than",
        MeasuredQuantity.LevelDifference => "has a larger level difference than",
        _ => "has a larger active part than",
    };

    /// <summary>The same of single bands.</summary>
    public static string MoreInBands(MeasuredQuantity quantity) => quantity == MeasuredQuantity.InsertionLoss ? "keeps out more than" : MoreThan(quantity);
}

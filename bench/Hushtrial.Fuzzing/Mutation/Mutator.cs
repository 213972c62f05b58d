namespace Hushtrial.Fuzzing.Mutation;

/// <summary>Changes an input.</summary>
/// <param name="input">The input; stays as it is.</param>
/// <param name="other">Another input of the corpus, to take parts of.</param>
/// <param name="dice">All chance comes from here.</param>
internal delegate byte[] Mutator(byte[] input, byte[] other, Dice dice);

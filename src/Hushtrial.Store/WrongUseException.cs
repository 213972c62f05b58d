namespace Hushtrial.Store;

/// <summary>Something was asked for that cannot be done: a file that is not there, a place that cannot be written. The message is for the person who asked; a command ends with exit code 2.</summary>
public sealed class WrongUseException(string message) : Exception(message);

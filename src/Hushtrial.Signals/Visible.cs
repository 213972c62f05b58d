using System.Runtime.CompilerServices;

[assembly: InternalsVisibleTo("Hushtrial.Signals.Tests")]
[assembly: InternalsVisibleTo("Hushtrial.Benchmarks")]

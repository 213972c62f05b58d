using System.Reflection;

namespace Hushtrial.Store;

/// <summary>The version that results, reports and stored trials name.</summary>
public static class ProductVersion
{
    /// <summary>As text, for example '0.1.0'.</summary>
    public static string Text { get; } = typeof(ProductVersion).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion ?? "0";
}

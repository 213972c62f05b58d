// A screen that goes dark stops the audio of some devices: while something is recorded it stays on.
let lock = null, wanted = false;

/** Keeps the screen on, or lets it go dark again. */
export async function stayAwake(on) {
  wanted = on;
  try {
    if (on) lock = await navigator.wakeLock?.request('screen');
    else { await lock?.release(); lock = null; }
  } catch { /* Not every device allows it. */ }
}

// The browser takes the lock away from a page that is hidden.
document.addEventListener('visibilitychange', () => { if (!document.hidden && wanted) stayAwake(true); });

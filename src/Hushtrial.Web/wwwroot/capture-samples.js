// Runs in the audio thread: hands on every sample as it came, with its place, and says when blocks are missing.
const QUANTUM = 128;

class Samples extends AudioWorkletProcessor {
  constructor({ processorOptions: { channels, frames } }) {
    super();
    Object.assign(this, { channels, size: channels * frames, block: new Float32Array(channels * frames), used: 0, next: null, running: true });
    this.port.onmessage = () => { this.running = false; this.flush(); };
  }

  flush() {
    if (this.used === 0) return;
    const samples = this.used === this.size ? this.block : this.block.slice(0, this.used);
    this.port.postMessage({ samples }, [samples.buffer]);
    this.block = new Float32Array(this.size);
    this.used = 0;
  }

  process([input]) {
    if (!this.running) return false;
    // The clock of the audio graph counts on while it is not asked: what lies between was never handed to us.
    if (this.next !== null && currentFrame > this.next) { this.flush(); this.port.postMessage({ lost: currentFrame - this.next }); }
    this.next = currentFrame + QUANTUM;
    if (input.length === 0) return true;
    for (let n = 0; n < QUANTUM; n++) {
      for (let c = 0; c < this.channels; c++) this.block[this.used++] = input[Math.min(c, input.length - 1)][n];
      if (this.used === this.size) this.flush();
    }
    return true;
  }
}

registerProcessor('hushtrial-samples', Samples);

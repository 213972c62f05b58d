// An input of this device, opened with all processing off: what the browser made of that is read back, not believed.
import { say } from '../sheet.js';

const MOST_CHANNELS = 4;

/** The input that is open; its stream is null while none is. */
export const input = { stream: null, context: null, source: null, node: null, channels: 1, rate: 0, device: '', settings: {}, track: {} };

/** Opens an input and hands on every sample.
 * `module` is the address of the audio thread's module; `arrived(samples)` gets interleaved frames as they came, `missed(frames)` the length of what was never
 * handed to us, `ended()` is called when the input is taken away. Throws what the browser throws. */
export async function openInput(deviceId, { module, arrived, missed, ended }) {
  closeInput();
  const audio = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: { ideal: MOST_CHANNELS }, ...(deviceId ? { deviceId: { exact: deviceId } } : {}) };
  input.stream = await navigator.mediaDevices.getUserMedia({ audio });
  const track = input.stream.getAudioTracks()[0];
  const settings = input.track = track.getSettings();
  input.device = track.label;
  // At the input's own rate nothing is resampled.
  input.context = new AudioContext(settings.sampleRate ? { sampleRate: settings.sampleRate, latencyHint: 'playback' } : { latencyHint: 'playback' });
  input.rate = input.context.sampleRate;
  input.channels = Math.min(MOST_CHANNELS, Math.max(1, settings.channelCount ?? 1));
  input.settings = Object.fromEntries(Object.entries({ ...settings, contextRate: input.rate }).filter(([key]) => !key.endsWith('Id')).map(([key, value]) => [key, String(value)]));
  await input.context.audioWorklet.addModule(module);
  input.source = input.context.createMediaStreamSource(input.stream);
  input.node = new AudioWorkletNode(input.context, 'hushtrial-samples', {
    numberOfInputs: 1, numberOfOutputs: 0, channelCount: input.channels, channelCountMode: 'explicit', channelInterpretation: 'discrete',
    processorOptions: { channels: input.channels, frames: Math.round(input.rate / 20) },
  });
  input.node.port.onmessage = event => event.data.samples ? arrived(event.data.samples) : missed(event.data.lost);
  input.source.connect(input.node);
  track.onended = ended;
}

/** Lets the input go. */
export function closeInput() {
  input.node?.port.postMessage('end');
  input.source?.disconnect();
  input.stream?.getTracks().forEach(track => track.stop());
  input.context?.close();
  Object.assign(input, { stream: null, context: null, source: null, node: null });
}

/** Fills a list with the inputs by name; names are told only once one was allowed. */
export async function listInputs(list) {
  const devices = (await navigator.mediaDevices.enumerateDevices()).filter(device => device.kind === 'audioinput');
  const now = input.stream?.getAudioTracks()[0]?.getSettings().deviceId;
  list.replaceChildren(...devices.map(device => Object.assign(document.createElement('option'), { value: device.deviceId, textContent: device.label || say('an input'), selected: device.deviceId === now })));
  list.disabled = devices.length < 2;
}

/** Why an input could not be opened, in the page's language. */
export const whyNot = error => error.name === 'NotAllowedError' ? say('The browser was not allowed to use the microphone.') : say('The input cannot be opened: {0}', error.message);

/** What the browser says of the open input, row by row: name, value, and whether it is as it has to be. */
export function readBack() {
  const { track: settings, rate } = input;
  const off = (value, name) => ({ name, value: value === false ? say('off') : value === true ? say('on: levels cannot be trusted') : say('not told'), good: value === false });
  const resampled = settings.sampleRate && settings.sampleRate !== rate;
  return [
    { name: say('Input'), value: input.device || say('without a name'), good: true },
    { name: say('Sampling rate'), value: `${rate} Hz${resampled ? ` (${say('resampled')})` : ''}`, good: rate >= 44_100 && !resampled },
    { name: say('Channels'), value: String(input.channels), good: true },
    off(settings.autoGainControl, say('Automatic gain')), off(settings.noiseSuppression, say('Noise suppression')), off(settings.echoCancellation, say('Echo cancellation')),
  ];
}

/** Whether every processing is told to be off. */
export const provedOff = () => readBack().slice(3).every(row => row.good);

/** Shows what was read back as a list of facts. */
export function showReadBack(facts) {
  facts.replaceChildren(...readBack().flatMap(({ name, value, good }) => [
    Object.assign(document.createElement('dt'), { textContent: name }), Object.assign(document.createElement('dd'), { textContent: value, className: good ? '' : 'wrong' })]));
}

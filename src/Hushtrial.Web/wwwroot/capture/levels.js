// Running levels as the workspace measures them: numbers, and the one-third octaves of the take as a figure. Nothing is reckoned here.
const place = name => document.querySelector(`#capture [data-level="${name}"]`);

/** What is shown while the workspace does not answer. */
export const NO_LEVELS = { fast: '–', taking: false };

/** Shows what came with an answer to frames. */
export function showLevels({ fast, taking, mean, width, figure }) {
  place('fast').textContent = fast;
  place('mean').textContent = taking ? mean : '–';
  place('width').textContent = taking ? width : '';
  // A figure comes once a second; the last one of a take stays until the next begins.
  if (figure) place('figure').innerHTML = figure;
}

// Below its step of the way a long page lists its own places: made from its headings, so that list and page cannot differ.
import { say } from './sheet.js';

const FEWEST = 3;

function list() {
  const step = document.querySelector('.way [aria-current="step"]')?.closest('li');
  if (!step) return;
  const headings = [...document.querySelectorAll('main :is(h2,h3)[id]')].filter(h => h.checkVisibility());
  const links = headings.map(heading => {
    const item = document.createElement('li'), link = document.createElement('a');
    link.href = `#${heading.id}`;
    link.textContent = heading.textContent.trim();
    item.append(link);
    return item;
  });
  const there = step.querySelector('.parts');
  if (links.length < FEWEST) { there?.remove(); return; }
  const said = links.map(l => l.firstChild.href + l.textContent).join();
  if (there?.dataset.said === said) return;
  const fresh = Object.assign(document.createElement('ol'), { className: 'parts', ariaLabel: say('On this page') });
  fresh.dataset.said = said;
  fresh.append(...links);
  if (there) there.replaceWith(fresh); else step.append(fresh);
}

document.addEventListener('renewed', list);
list();

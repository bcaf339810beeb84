// The three hands of a maker: mouse, finger, keyboard. A step of the programme says what is to be pressed,
// typed or chosen; the hand says how. Finger and keyboard use nothing else: no click and no focus by
// script. Each keeps a list of what it met that no one should meet; `faults` is checked at the end.

const LEAST_TARGET_PX = 43.5; // 44, and what rounding takes
const SETTLE_MS = 400;

export function handOf(kind, page) {
  return kind === 'touch' ? new Touch(page) : kind === 'keys' ? new Keys(page) : new Mouse(page);
}

/** What a hand in front of this page brings along. */
export const SENSES = { mouse: {}, touch: { hasTouch: true, isMobile: true }, keys: { hasTouch: false, isMobile: false } };

class Hand {
  faults = new Set();

  constructor(page) {
    this.page = page;
  }

  /** Types into the field that has the hand's attention, in place of what stands there. */
  async fill(locator, text) {
    await this.attend(locator);
    await this.page.keyboard.press('End');
    for (let n = (await locator.inputValue()).length; n > 0; n--) await this.page.keyboard.press('Backspace');
    await this.page.keyboard.type(text);
  }

}

class Mouse extends Hand {
  kind = 'mouse';

  press(locator) {
    return locator.click();
  }

  fill(locator, text) {
    return locator.fill(text);
  }

  choose(locator, text) {
    return locator.selectOption({ label: text });
  }

  tick(locator) {
    return locator.check();
  }

  async slide(locator, steps) {
    await locator.click({ position: { x: 3, y: 8 } });
    for (let i = 0; i < steps; i++) await this.page.keyboard.press('ArrowRight');
  }
}

class Touch extends Hand {
  kind = 'touch';
  #wire = null;

  async send(what, args) {
    this.#wire ??= await this.page.context().newCDPSession(this.page);
    return this.#wire.send(what, args);
  }

  press(locator) {
    return this.tap(locator);
  }

  attend(locator) {
    return this.tap(locator);
  }

  /** The tap opens the list; the list itself is the phone's own and no part of the page. */
  async choose(locator, text) {
    await this.tap(locator);
    await this.page.keyboard.press('Escape');
    await locator.selectOption({ label: text });
  }

  async tick(locator) {
    if (!(await locator.isChecked())) await this.tap(locator);
    if (!(await locator.isChecked())) throw new Error('a tap did not tick it');
  }

  async tap(locator) {
    const { x, y } = await this.inSight(locator);
    await this.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x, y }] });
    await this.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  }

  /** Drags the page until the middle of it can be touched, and nothing lies over it. */
  async inSight(locator) {
    await locator.waitFor();
    let last = '';
    for (let guard = 0; guard < 40; guard++) {
      const seen = await locator.evaluate(touchPoint);
      if (seen.clear && seen.still === last) return this.measured(seen);
      last = seen.still;
      if (!seen.clear && seen.away) await this.scroll(seen.away, seen.from);
      else await this.page.waitForTimeout(60); // something moves, or lies over it for a moment
    }
    throw new Error(`no finger reaches it: ${JSON.stringify(await locator.evaluate(touchPoint))}`);
  }

  measured(seen) {
    if (seen.height < LEAST_TARGET_PX && !seen.inText) this.faults.add(`${seen.what} is ${Math.round(seen.height)} px high`);
    return seen;
  }

  /** One stroke of the finger, held at its end so that the page does not run on. */
  async scroll(away, from) {
    const reach = Math.max(-from.room, Math.min(from.room, away));
    const start = from.y + reach / 2;
    await this.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x: from.x, y: start }] });
    for (const part of [0.06, 0.35, 0.7, 1, 1]) await this.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: [{ x: from.x, y: start - reach * part }] });
    await this.page.waitForTimeout(80);
    await this.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
    await this.page.waitForTimeout(30);
  }

  /** Along a slider by finger, from its start on. */
  async slide(locator, steps) {
    const { x, y, width } = await this.inSight(locator);
    const from = x - width / 2 + 12;
    await this.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x: from, y }] });
    for (let i = 1; i <= steps; i++) await this.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: [{ x: from + (i * width) / (2 * steps), y }] });
    await this.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  }
}

/** In the page: where to touch `e`, whether that would hit it, and how far to drag if it would not. */
function touchPoint(e) {
  const box = (e.closest('label') && /radio|checkbox/.test(e.type) ? e.closest('label') : e).getBoundingClientRect();
  const view = { w: document.documentElement.clientWidth, h: window.innerHeight };
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const hit = document.elementFromPoint(x, y);
  const label = e.closest('label');
  const clear = Boolean(hit) && (e.contains(hit) || hit.contains(e) && hit.tagName === 'LABEL' || Boolean(label?.contains(hit)));
  const pad = e.closest('.pad');
  const frame = pad ? pad.getBoundingClientRect() : { top: 0, bottom: view.h, left: 0, right: view.w };
  const top = document.elementFromPoint(view.w / 2, view.h - 1)?.closest('.pad, .ways')?.getBoundingClientRect().top ?? view.h;
  const [low, high] = pad ? [frame.top, frame.bottom] : [0, top];
  const middle = (low + high) / 2;
  return {
    x, y, clear, width: box.width, height: box.height, still: `${Math.round(x)} ${Math.round(y)}`, away: Math.abs(y - middle) < 4 ? 0 : y - middle,
    from: { x: (frame.left + frame.right) / 2 - 40, y: middle, room: (high - low) * 0.8 },
    inText: getComputedStyle(e).display === 'inline' || Boolean(e.closest('p:not(.actions), h3')) && e.tagName === 'A',
    what: `${e.className || e.tagName.toLowerCase()} "${(e.getAttribute('aria-label') ?? e.textContent).trim().slice(0, 30)}"`,
  };
}

const STOPS = 250; // more tabs than any page should ask for

class Keys extends Hand {
  kind = 'keys';
  tabs = 0;

  async press(locator) {
    await this.attend(locator);
    await this.page.keyboard.press('Enter');
  }

  async tick(locator) {
    if (await locator.isChecked()) return;
    const radio = (await locator.getAttribute('type')) === 'radio';
    await this.attend(locator, radio);
    if (!radio) await this.page.keyboard.press('Space');
    for (let guard = 0; radio && guard < 30 && !(await locator.isChecked()); guard++) await this.page.keyboard.press('ArrowRight');
    if (!(await locator.isChecked())) throw new Error('no key ticks it');
  }

  /** Picks an option by its text with the arrow keys. */
  async choose(locator, text) {
    await this.attend(locator);
    const texts = await locator.locator('option').allInnerTexts();
    const wanted = texts.indexOf(text);
    if (wanted < 0) throw new Error(`no option "${text}" among ${texts.join(', ')}`);
    const at = () => locator.evaluate((e) => e.selectedIndex);
    for (let guard = 0; guard < texts.length && (await at()) !== wanted; guard++) {
      await this.page.keyboard.press((await at()) < wanted ? 'ArrowDown' : 'ArrowUp');
    }
    if ((await at()) !== wanted) throw new Error(`"${text}" could not be chosen`);
  }

  async slide(locator, steps) {
    await this.attend(locator);
    for (let i = 0; i < steps; i++) await this.page.keyboard.press('ArrowRight');
  }

  /** Tabs on, or back when it lies behind, until it has the focus. */
  async attend(locator, group = false) {
    await locator.waitFor();
    for (let n = 0; n < STOPS; n++) {
      const at = await locator.evaluate(focusPlace, group);
      if (n > 0 && at.fault) await this.lookAgain(locator, group, at.fault);
      if (at.there) return;
      await this.page.keyboard.press(at.behind ? 'Shift+Tab' : 'Tab');
      this.tabs++;
    }
    throw new Error(`not reached by ${STOPS} tabs`);
  }

  /** A fault is one that stays: an answer that arrives just now may push the page for a moment. */
  async lookAgain(locator, group, fault) {
    await this.page.waitForTimeout(SETTLE_MS);
    if ((await locator.evaluate(focusPlace, group)).fault === fault) this.faults.add(fault);
  }
}

/** In the page: does `e` have the focus; if not, on which side of it; and can the one that has it be seen. */
function focusPlace(e, group) {
  const now = document.activeElement;
  const there = now === e || (group && now?.type === 'radio' && now.name === e.name);
  const behind = Boolean(now) && now !== document.body && Boolean(now.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_PRECEDING);
  return { there, behind, fault: faultOf(now) };

  function faultOf(f) {
    if (!f || f === document.body || /^(HTML|H1|H2|MAIN)$/.test(f.tagName)) return '';
    const what = `${f.className || f.tagName.toLowerCase()} "${(f.getAttribute('aria-label') ?? f.labels?.[0]?.textContent ?? f.textContent ?? '').trim().slice(0, 30)}"`;
    const rings = [f, f.closest('.field-box'), f.nextElementSibling, f.parentElement, f.querySelector?.('*')].filter(Boolean);
    if (!rings.some((r) => { const s = getComputedStyle(r); return s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2; })) return `${what} shows no focus`;
    const box = f.getBoundingClientRect();
    const [x, y] = [box.x + box.width / 2, box.y + Math.min(box.height / 2, 20)];
    const hit = document.elementFromPoint(x, y);
    if (!hit || !(f.contains(hit) || hit.contains(f) || f.closest('label')?.contains(hit))) return `${what} has the focus out of sight`;
    return '';
  }
}

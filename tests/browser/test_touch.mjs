// From an empty workshop to a verdict by finger alone: taps and strokes, and for letters the phone's own keys.
// Every target a thumb can hit; every page and state it passes accessible by axe's rules in light and dark.
import { finish, launch, stretch } from './lib/browser.mjs';
import { programme } from './lib/whole.mjs';

const only = process.argv[2]; // one size, for trying
const browser = await launch();
// side by side: each has its own workshop, and most of the time is waiting
await Promise.all(['phone', 'tablet'].filter((s) => !only || s === only).map((size) => stretch(`${size}: the programme runs to its end`, () => programme(browser, size, 'touch'))));
await browser.close();
finish();

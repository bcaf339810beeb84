// From an empty workshop to a verdict by keyboard alone: no mouse, no focus set by script. Every focus in
// sight, none lost when something closes; every page and state it passes accessible by axe's rules.
import { finish, launch, stretch } from './lib/browser.mjs';
import { programme } from './lib/whole.mjs';

const only = process.argv[2]; // one size, for trying
const browser = await launch();
// side by side: each has its own workshop, and most of the time is waiting
await Promise.all(['laptop', 'tablet'].filter((s) => !only || s === only).map((size) => stretch(`${size}: the programme runs to its end`, () => programme(browser, size, 'keys'))));
await browser.close();
finish();

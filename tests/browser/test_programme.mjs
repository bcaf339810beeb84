// The whole job by mouse on a phone's window and on a laptop's, looked at closely on the way: axe, pictures,
// widths. The same steps by finger and by keyboard: test_touch.mjs, test_keys.mjs.
import { finish, launch, stretch } from './lib/browser.mjs';
import { programme } from './lib/whole.mjs';

const browser = await launch();
// side by side: each has its own workshop, and most of the time is waiting
await Promise.all(['phone', 'laptop'].map((size) => stretch(`${size}: the programme runs to its end`, () => programme(browser, size, 'mouse'))));
await browser.close();
finish();

// Cautions stand where the danger is. They never call a thing safe.
import { said } from '../lib/said';
import { plural } from '../lib/when';
import { Worded } from './Term';

interface CautionProps { list: string[] | undefined; title?: string; folded?: boolean }

/** `folded` where nothing is hot yet: the first one shows, the rest unfold. */
export function Cautions({ list, title = 'Caution', folded }: CautionProps) {
  if (!list?.length) return null;
  const items = (from: number) => <ul>{list.slice(from).map((text) => <li key={text}><Worded>{said(text)}</Worded></li>)}</ul>;
  if (!folded || list.length < 3) {
    return <aside class="caution" aria-label={title}><p class="caution-title">{title}</p>{items(0)}</aside>;
  }
  return (
    <aside class="caution" aria-label={title}>
      <p class="caution-title">{title}</p>
      <ul><li><Worded>{said(list[0]!)}</Worded></li></ul>
      <details><summary>{plural(list.length - 1, 'more caution')}</summary>{items(1)}</details>
    </aside>
  );
}

export function NeverUnattended({ count }: { count: number }) {
  if (!count) return null;
  return (
    <p class="attend" role="note">
      <strong>{count === 1 ? 'A candle is burning.' : `${count} candles are burning.`}</strong> Stay in the room. Keep a lid,
      a fire blanket or an extinguisher in reach, children and animals away, and move no candle while it is lit or the wax is liquid.
    </p>
  );
}

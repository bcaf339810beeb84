// Cautions stand where the danger is. They never call a thing safe.

export function Cautions({ list, title = 'Caution' }: { list: string[] | undefined; title?: string }) {
  if (!list?.length) return null;
  return (
    <aside class="caution" aria-label={title}>
      <p class="caution-title">{title}</p>
      <ul>{list.map((text) => <li key={text}>{text}</li>)}</ul>
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

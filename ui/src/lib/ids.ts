// UUID version 7 (RFC 9562, 5.7): 48 bits of milliseconds, then random bits. Made here so that a
// write repeated after a lost answer is recognised by the server.
// randomUUID needs a secure context; getRandomValues works over plain http on the bench too.

export function newId(now_ms: number = Date.now()): string {
  const b = crypto.getRandomValues(new Uint8Array(16));
  const time = BigInt(Math.floor(now_ms));
  for (let i = 0; i < 6; i++) b[i] = Number((time >> BigInt(8 * (5 - i))) & 0xffn);
  b[6] = (b[6]! & 0x0f) | 0x70;
  b[8] = (b[8]! & 0x3f) | 0x80;
  const hex = Array.from(b, (x) => x.toString(16).padStart(2, '0')).join('');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

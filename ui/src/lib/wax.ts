// Colour of wax in the cut jar: cream when solid, honey to dark amber as the pool gets hotter.
// Lightness falls with temperature all the way, so the drawing reads in grey too.

type Rgb = readonly [number, number, number];

const SOLID: readonly [number, Rgb][] = [[15, [243, 235, 215]], [40, [236, 221, 188]], [70, [226, 203, 158]]];
const LIQUID: readonly [number, Rgb][] = [
  [35, [240, 199, 116]], [60, [229, 166, 70]], [80, [211, 129, 44]], [100, [182, 90, 32]], [130, [139, 53, 27]], [200, [92, 27, 22]],
];

function ramp(stops: readonly [number, Rgb][], T: number): Rgb {
  const first = stops[0]!;
  if (T <= first[0]) return first[1];
  for (let i = 1; i < stops.length; i++) {
    const [t1, c1] = stops[i]!;
    if (T > t1) continue;
    const [t0, c0] = stops[i - 1]!;
    return mix(c0, c1, (T - t0) / (t1 - t0));
  }
  return stops[stops.length - 1]![1];
}

const mix = (a: Rgb, b: Rgb, t: number): Rgb => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t];

/** `melt` 0..1. The edge of the pool is drawn sharper than the melting range is. */
export function waxColour(T_C: number, melt: number): Rgb {
  const t = Math.min(1, Math.max(0, (melt - 0.3) / 0.4));
  return mix(ramp(SOLID, T_C), ramp(LIQUID, T_C), t);
}

export const liquidCss = (T_C: number): string => {
  const [r, g, b] = ramp(LIQUID, T_C);
  return `rgb(${Math.round(r)} ${Math.round(g)} ${Math.round(b)})`;
};

export const LEGEND_C = [40, 60, 80, 100, 130] as const;

// A reading's value in words: flags are yes or no, grades have no unit.
import { showIn } from './units';

const FLAGS = new Set(['pool_at_wall', 'went_out', 'flashover', 'broken', 'tips']);

export function readingValue(value: number, unit: string, kind: string): string {
  if (FLAGS.has(kind)) return value ? 'yes' : 'no';
  return unit ? showIn(value, unit) : String(value);
}

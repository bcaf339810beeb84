// The browser's own database: writes not yet sent, and the last answers for when the server is gone.
import { openDB, type DBSchema, type IDBPDatabase } from 'idb';
import type { Session } from './types';

export interface OutItem {
  seq?: number; // given by the database: the order of typing
  id: string; // UUIDv7: by it the server knows a write sent twice
  id_as: 'id' | 'request_id'; // 'id' where it names the new row, 'request_id' where the path names the thing
  path: string;
  body: Record<string, unknown>;
  what: string; // plain words for the list of things not yet sent
  session_id: string;
  typed_at: number; // server's time, ms
  lit?: Session; // candles lit: the session as it is shown until the door has it
  heavy?: boolean; // a picture: what is light goes first
  refused: string; // the door's text when it said no; '' while waiting
}

interface Schema extends DBSchema {
  outbox: { key: number; value: OutItem };
  answers: { key: string; value: { path: string; at: number; answer: unknown } };
}

let opened: Promise<IDBPDatabase<Schema>> | null = null;

export function db(): Promise<IDBPDatabase<Schema>> {
  opened ??= openDB<Schema>('evenpool-bench', 1, {
    upgrade(d) {
      d.createObjectStore('outbox', { keyPath: 'seq', autoIncrement: true });
      d.createObjectStore('answers', { keyPath: 'path' });
    },
    terminated() {
      opened = null;
    },
  });
  return opened;
}

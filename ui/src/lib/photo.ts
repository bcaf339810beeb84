// A picture of the phone made into what the workshop keeps: drawn on a canvas, so that it stands upright and
// place, date and the camera's notes stay behind; small enough for the outbox.

export const LONGEST = 1600; // pixels, as the workshop keeps them
const MOST_BYTES = 600_000; // base64 makes a third more of it, and the door takes 1 MiB
const QUALITY = [0.85, 0.72, 0.55, 0.35];

export interface Photo { id: string; session_id: string; candle_id: string; code: string; reading_id: string | null; minute: number; at: string; width_px: number; height_px: number; bytes: number; alt: string | null }

/** JPEG in base64 from any picture this browser can show. */
export async function jpegOf(file: Blob): Promise<string> {
  let bitmap: ImageBitmap;
  try {
    bitmap = await createImageBitmap(file);
  } catch {
    throw new Error('This browser cannot show that file as a picture. Take it as JPEG.');
  }
  const scale = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(16, Math.round(bitmap.width * scale));
  canvas.height = Math.max(16, Math.round(bitmap.height * scale));
  const ctx = canvas.getContext('2d');
  if (!ctx) throw new Error('This browser has no canvas to draw the picture on.');
  ctx.fillStyle = '#fff'; // what is see-through becomes paper
  ctx.fillRect(0, 0, canvas.width, canvas.height);
  ctx.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  for (const quality of QUALITY) {
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/jpeg', quality));
    if (!blob) throw new Error('The picture could not be made into a JPEG.');
    if (blob.size <= MOST_BYTES) return base64Of(blob);
  }
  throw new Error('The picture is too full of detail to be sent. Step back, or hold the camera still.');
}

function base64Of(blob: Blob): Promise<string> {
  return new Promise((done, fail) => {
    const reader = new FileReader();
    reader.onload = () => done(String(reader.result).split(',')[1] ?? '');
    reader.onerror = () => fail(new Error('The picture could not be read.'));
    reader.readAsDataURL(blob);
  });
}

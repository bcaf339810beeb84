// The bundler reads src/app/*.def (ui/build.mjs).
declare module 'fields:' {
  const fields: Record<string, Record<string, { unit: string; min: number; max: number; example: string }>>;
  export default fields;
}

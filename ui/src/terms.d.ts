// The bundler reads data/terms.def (ui/build.mjs).
declare module 'terms:' {
  const terms: { word: string; forms: string[]; means: string }[];
  export default terms;
}

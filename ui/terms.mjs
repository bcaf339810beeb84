// Reads data/terms.def, the words of the trade with what they mean, for the pages and the tests.
const ROW = /^TERM\("([^"]*)", "([^"]*)", "([^"]*)"\)$/gm;

/** [{ word, forms, means }] in the order of the table. */
export function readTerms(text) {
  return [...text.matchAll(ROW)].map(([, word, forms, means]) => ({ word, forms: forms ? forms.split('|') : [], means }));
}

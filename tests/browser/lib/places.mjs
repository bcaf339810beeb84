// Where every page of the demo workshop is: its name and its path.

export async function placesOf(workshop) {
  const { recipes } = await workshop.get('/api/recipes');
  const { pours } = await workshop.get('/api/pours');
  const { containers } = await workshop.get('/api/containers');
  const { series } = await workshop.get('/api/series');
  const { lit } = await workshop.get('/api/today');
  const { sessions } = await workshop.get('/api/sessions');
  const proven = recipes.find((r) => r.state === 'proven');
  const testing = recipes.find((r) => r.state === 'testing');
  const described = recipes.find((r) => r.candles_poured === 0); // planned, once its page was opened
  return {
    today: '/', recipes: '/recipes', 'recipe-proven': `/recipes/${proven.id}`, 'recipe-testing': `/recipes/${testing.id}`,
    'recipe-described': `/recipes/${described.id}`, 'proof-described': `/recipes/${described.id}/proof`, duplicate: `/recipes/new?from=${proven.id}`,
    'proof-proven': `/recipes/${proven.id}/proof`, 'proof-testing': `/recipes/${testing.id}/proof`, describe: '/recipes/new', revise: `/recipes/${testing.id}/revise`,
    light: '/light', bench: `/sessions/${lit[0].id}`, 'session-over': `/sessions/${sessions.find((s) => !s.open).id}`, pours: '/pours', pour: `/pours/${pours[0].id}`,
    'pour-new': `/pours/new?recipe=${testing.id}`, shelf: '/shelf', 'shelf-series': '/shelf?of=series', 'shelf-wax': '/shelf?of=wax', 'shelf-fragrance': '/shelf?of=fragrance',
    'shelf-dye': '/shelf?of=dye', 'shelf-additive': '/shelf?of=additive', 'shelf-wick': '/shelf?of=wick', 'shelf-lots': '/shelf?of=lots', 'container-new': '/shelf/containers/new', container: `/shelf/containers/${containers[0].id}`,
    'series-new': '/shelf/series/new', series: `/shelf/series/${series[0].id}`, material: '/shelf/materials/std-wax-soy', 'material-new': '/shelf/materials/new?kind=wax',
    'lot-new': '/shelf/lots/new', tables: '/shelf/tables', settings: '/settings', nowhere: '/there/is/no/such/page',
  };
}

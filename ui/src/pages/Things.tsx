// One thing of the shelf: a container with its volumes, or a wick series with its sizes.
import { useAnswer } from '../lib/live';
import type { Container, Series } from '../lib/types';
import { num, plain, show } from '../lib/units';
import { plural } from '../lib/when';
import { Figure, Figures } from '../parts/Figure';
import { aboveAt } from '../lib/above';
import { FromAbove } from '../parts/FromAbove';
import { JarMeasure } from '../parts/JarMeasure';
import { Await, Page, Section } from '../parts/Page';
import { said } from '../lib/said';

export function ContainerPage({ id }: { id: string }) {
  const answer = useAnswer<Container>(`/api/containers/${id}`);
  return (
    <Await answer={answer} page="Container">
      {(c) => (
        <Page title={c.name} over={<><a href="/shelf">Shelf</a> · <a href="/shelf?of=containers">Containers</a></>} under={<p><a href={`/shelf/materials/${c.material.id}`}>{c.material.name}</a></p>}>
          <div class="with-drawing">
            <div class="drawing">
              <JarMeasure stations={c.profile.map((p) => ({ height_mm: p.height_mm, inner_mm: p.inner_diameter_mm }))} wall_mm={c.wall_mm} base_mm={c.base_mm} water_mm={c.water?.height_mm ?? null} held="" />
              {c.outline && c.outline !== 'round' && <FromAbove above={aboveAt(c, c.height_mm)} spots={[]} wall_mm={c.wall_mm} sides />}
            </div>
            <div>
              <Section title="Measured" note="in this workshop">
                <Figures>
                  <Figure label={c.outline && c.outline !== 'round' ? `A, longer inner side at the brim, ${c.outline}` : 'A, inner diameter at the brim'} value={c.profile[c.profile.length - 1]?.inner_diameter_mm} kind="mm" />
                  {c.outline && c.outline !== 'round' && <Figure label="E, shorter inner side there" value={c.across_mm} kind="mm" />}
                  {c.outline === 'rectangle' && <Figure label="F, radius of the corners" value={c.corner_mm} kind="mm" />}
                  <Figure label="B, inner height" value={c.height_mm} kind="mm" />
                  <Figure label="C, wall" value={c.wall_mm} kind="mm" />
                  <Figure label="D, base" value={c.base_mm} kind="mm" />
                  <Figure label="holds to the brim" value={c.brim_ml} kind="ml" note="computed from the profile" />
                  <Figure label="empty" value={c.empty_mass_g} kind="g" />
                </Figures>
                {c.profile.length > 2 && <p class="quiet">{c.profile.map((p) => `${num(p.inner_diameter_mm, 'mm')} at ${show(p.height_mm, 'mm')}`).join(' · ')}</p>}
              </Section>
              <Section title="Water check">
                {c.water ? (
                  <>
                    <p class={c.water.mismatch ? 'notice warn' : ''}>{said(c.water.text)}</p>
                    <p class="quiet">{show(c.water.mass_g, 'g')} of water at {show(c.water.temp_C, 'C')}, to {show(c.water.height_mm, 'mm')}: {show(c.water.ml, 'ml')} weighed, {show(c.water.profile_ml, 'ml')} by tape, ratio {plain(c.water.ratio)}.</p>
                  </>
                ) : <p class="quiet">Not weighed with water. A tape slip of {said('1 mm')} is 3 % of the wax; one weighing finds it.</p>}
              </Section>
              <Section title="Volume by height">
                <details>
                <summary>Table of heights</summary>
                <div class="scroll" tabIndex={0} role="region" aria-label="Volume by height, table">
                  <table><thead><tr><th scope="col">height</th><th scope="col">holds</th></tr></thead>
                    <tbody>{c.curve.map((p) => <tr key={p.height_mm}><th scope="row">{show(p.height_mm, 'mm')}</th><td>{show(p.ml, 'ml')}</td></tr>)}</tbody></table>
                </div>
                </details>
              </Section>
            </div>
          </div>
        </Page>
      )}
    </Await>
  );
}

export function SeriesPage({ id }: { id: string }) {
  const answer = useAnswer<Series>(`/api/series/${id}`);
  return (
    <Await answer={answer} page="Wick series">
      {(s) => (
        <Page title={s.name} over={<><a href="/shelf">Shelf</a> · <a href="/shelf?of=series">Wick series</a></>} under={<p><a href={`/shelf/materials/${s.construction.id}`}>{s.construction.name}</a>, {plural(s.sizes.length, 'size')}</p>}>
          <Section title="Sizes" note="smallest first">
            <div class="scroll" tabIndex={0} role="region" aria-label="Sizes, table">
              <table>
                <thead><tr><th scope="col">size</th><th scope="col">mass per length</th><th scope="col">yield</th><th scope="col">width</th><th scope="col">thickness</th><th scope="col">core</th></tr></thead>
                <tbody>
                  {[...s.sizes].sort((a, b) => a.position - b.position).map((z) => (
                    <tr key={z.id}><th scope="row">{z.name}</th><td>{show(z.linear_density_g_m, 'g_m')}</td><td>{z.yield_yd_lb !== null ? `${num(z.yield_yd_lb, 'none', 0)} yd/lb` : '–'}</td>
                      <td>{z.width_mm !== null ? show(z.width_mm, 'mm') : '–'}</td><td>{z.thickness_mm !== null ? show(z.thickness_mm, 'mm') : '–'}</td><td>{z.core_mm !== null ? show(z.core_mm, 'mm') : '–'}</td></tr>
                  ))}
                </tbody>
              </table>
            </div>
          </Section>
        </Page>
      )}
    </Await>
  );
}

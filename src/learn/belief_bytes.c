// A belief in memory and as bytes.
#include <assert.h>
#include <stdlib.h>

#include "base/pack.h"
#include "learn/belief.h"

ep_status ep_belief_make(const ep_model *m, int draws, int ways, ep_belief **out)
{
    ep_belief *b = calloc(1, sizeof *b);
    if (!b) {
        return EP_E_MEMORY;
    }
    b->n_params = m->n_params;
    b->n_outer = ep_model_outer(m);
    b->n_unknowns = ep_model_unknowns(m);
    b->n_data = ep_model_data(m);
    b->n_draws = draws;
    b->n_ways = ways > 1 ? ways : 1;
    size_t u = (size_t)b->n_unknowns, o = (size_t)b->n_outer, d = (size_t)b->n_data;
    const size_t w = (size_t)draws * (size_t)(b->n_ways - 1) * EP_BIAS_COUNT;
    b->mode = calloc(u + 2 * o + (size_t)draws * u + 2 * d + w, sizeof *b->mode);
    if (!b->mode) {
        free(b);
        return EP_E_MEMORY;
    }
    b->mean = b->mode + u;
    b->sd = b->mean + o;
    b->draw = b->sd + o;
    b->fit = b->draw + (size_t)draws * u;
    b->disagree = b->fit + d;
    b->way = b->disagree + d;
    *out = b;
    return EP_OK;
}

double *ep_belief_way(const ep_belief *b, int draw, int way)
{
    assert(draw >= 0 && draw < b->n_draws && way > 0 && way < b->n_ways);
    return b->way + ((size_t)draw * (size_t)(b->n_ways - 1) + (size_t)(way - 1)) * EP_BIAS_COUNT;
}

void ep_belief_destroy(ep_belief *b)
{
    if (b) {
        free(b->mode);
        free(b);
    }
}

typedef struct sizes {
    int method, params, outer, unknowns, draws, ways, data;
} sizes;

static void walk_sizes(ep_pack *p, sizes *n)
{
    ep_pack_int(p, &n->method);
    ep_pack_int(p, &n->params);
    ep_pack_int(p, &n->outer);
    ep_pack_int(p, &n->unknowns);
    ep_pack_int(p, &n->draws);
    ep_pack_int(p, &n->ways);
    ep_pack_int(p, &n->data);
}

static void walk_rest(ep_pack *p, ep_belief *b)
{
    int how = (int)b->how, converged = b->converged;
    const size_t u = (size_t)b->n_unknowns, o = (size_t)b->n_outer, d = (size_t)b->n_data;
    ep_pack_reals(p, b->mode, u);
    ep_pack_reals(p, b->mean, o);
    ep_pack_reals(p, b->sd, o);
    ep_pack_reals(p, b->draw, (size_t)b->n_draws * u);
    ep_pack_reals(p, b->way, (size_t)b->n_draws * (size_t)(b->n_ways - 1) * EP_BIAS_COUNT);
    ep_pack_reals(p, b->fit, d);
    ep_pack_reals(p, b->disagree, d);
    ep_pack_int(p, &how);
    ep_pack_int(p, &converged);
    ep_pack_real(p, &b->diag.khat);
    ep_pack_real(p, &b->diag.ess);
    ep_pack_int(p, &b->diag.temper_steps);
    ep_pack_real(p, &b->diag.accept);
    ep_pack_int(p, &b->engine_runs);
    ep_pack_int(p, &b->steps);
    ep_pack_real(p, &b->scatter_sd);
    ep_pack_real(p, &b->misfit);
    b->how = (ep_belief_how)how;
    b->converged = converged != 0;
}

ep_status ep_belief_write(const ep_belief *b, unsigned char **bytes, size_t *len)
{
    sizes n = {EP_BELIEF_METHOD, b->n_params, b->n_outer, b->n_unknowns,
               b->n_draws,       b->n_ways,   b->n_data};
    ep_belief copy = *b;  // writing leaves the numbers as they are
    ep_pack p = ep_pack_writer();
    walk_sizes(&p, &n);
    walk_rest(&p, &copy);
    return ep_pack_take(&p, bytes, len);
}

ep_status ep_belief_read(const unsigned char *bytes, size_t len, const ep_model *m, ep_belief **out)
{
    sizes n = {0};
    ep_pack p = ep_pack_reader(bytes, len);
    walk_sizes(&p, &n);
    if (p.bad || n.method != EP_BELIEF_METHOD || n.params != m->n_params ||
        n.outer != ep_model_outer(m) || n.unknowns != ep_model_unknowns(m) ||
        n.data != ep_model_data(m) || n.draws < 1 || n.draws > 512 || n.ways < 1 || n.ways > 16) {
        return EP_E_PARSE;
    }
    ep_belief *b = NULL;
    ep_status s = ep_belief_make(m, n.draws, n.ways, &b);
    if (s != EP_OK) {
        return s;
    }
    walk_rest(&p, b);
    if (!ep_pack_done(&p) || b->how > EP_BELIEF_TEMPERED) {
        ep_belief_destroy(b);
        return EP_E_PARSE;
    }
    *out = b;
    return EP_OK;
}

// A look in memory and as bytes.
#include <stdlib.h>

#include "base/pack.h"
#include "learn/look.h"

ep_status ep_look_make(int n_params, int n_data, ep_look **out)
{
    const size_t p = (size_t)n_params, d = (size_t)n_data;
    ep_look *k = calloc(1, sizeof *k);
    double *room = calloc(d * (3 + p) + p + 1, sizeof *room);
    if (!k || !room) {
        free(k);
        free(room);
        return EP_E_MEMORY;
    }
    k->n_params = n_params;
    k->n_data = n_data;
    k->f = room;
    k->slope = k->f + d;
    k->rough = k->slope + d;
    k->jac = k->rough + d;
    k->at = k->jac + d * p;
    *out = k;
    return EP_OK;
}

void ep_look_destroy(ep_look *k)
{
    if (k) {
        free(k->f);
        free(k);
    }
}

static void walk_sizes(ep_pack *p, int *method, int *params, int *data)
{
    ep_pack_int(p, method);
    ep_pack_int(p, params);
    ep_pack_int(p, data);
}

static void walk_rest(ep_pack *p, ep_look *k)
{
    const size_t n = (size_t)k->n_params, d = (size_t)k->n_data;
    int settled = k->settled;
    ep_pack_reals(p, k->f, d);
    ep_pack_reals(p, k->slope, d);
    ep_pack_reals(p, k->rough, d);
    ep_pack_reals(p, k->jac, d * n);
    ep_pack_reals(p, k->at, n);
    ep_pack_int(p, &k->burns);
    ep_pack_int(p, &k->rounds);
    ep_pack_int(p, &settled);
    k->settled = settled != 0;
}

ep_status ep_look_write(const ep_look *k, unsigned char **bytes, size_t *len)
{
    int method = EP_LOOK_METHOD;
    ep_look copy = *k;  // writing leaves the numbers as they are
    ep_pack p = ep_pack_writer();
    walk_sizes(&p, &method, &copy.n_params, &copy.n_data);
    walk_rest(&p, &copy);
    return ep_pack_take(&p, bytes, len);
}

ep_status ep_look_read(const unsigned char *bytes, size_t len, const ep_model_run *r, ep_look **out)
{
    int method = 0, params = 0, data = 0, own[EP_MODEL_TERMS];
    ep_pack p = ep_pack_reader(bytes, len);
    walk_sizes(&p, &method, &params, &data);
    if (p.bad || method != EP_LOOK_METHOD || params != ep_look_params(r, own) ||
        data != r->evidence.n) {
        return EP_E_PARSE;
    }
    ep_look *k = NULL;
    ep_status s = ep_look_make(params, data, &k);
    if (s != EP_OK) {
        return s;
    }
    walk_rest(&p, k);
    if (!ep_pack_done(&p)) {
        ep_look_destroy(k);
        return EP_E_PARSE;
    }
    *out = k;
    return EP_OK;
}

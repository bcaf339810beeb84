/// One look at one wick: what the engine says of each of its readings, as straight lines in the
/// factors over the spread that the wick's own readings leave open. A belief about many wicks is
/// then worked out from their looks without a burn. A look depends on nothing but the wick's burn
/// case, its terms and its evidence: another wick's readings, or another recipe's question, leave
/// it as it is, so that it can be kept. Lines by statistical linear regression, again and again
/// over the posterior of the last (García- Fernández, Svensson, Morelande, Särkkä 2015, IEEE Trans.
/// Signal Process. 63:5561: posterior linearisation); points from two-level screening plans
/// (Plackett & Burman 1946, Biometrika 33:305), folded over so that no bend passes for a slope (Box
/// & Wilson 1951, from memory). Needs: learn/model. Allocates: one block, owned by the caller.
#pragma once
#include "learn/model.h"

typedef struct ep_look {
    int n_params, n_data;
    double *f;      ///< n_data: mean prediction over the spread; NAN = the candle did not get there
    double *slope;  ///< n_data: with the log of the candle scatter
    double
        *jac;  ///< n_data x n_params: with the parameters, prior sd, in the order of ep_look_params
    double *rough;  ///< n_data: sd of the engine about the lines, on the kind's scale
    double *at;     ///< n_params: centre of the spread, prior sd
    int burns;      ///< engine runs it took
    int rounds;
    bool settled;  ///< the centre stayed within the spread the lines were laid over
} ep_look;

enum { EP_LOOK_PARAMS = 62 };  ///< most parameters of one wick

/// The run's own parameters, each once, in the order of its terms; returns how many.
int ep_look_params(const ep_model_run *r, int param[EP_MODEL_TERMS]);
/// Look: 2 to 4 rounds of burns in `threads` (0 = as many as processors). EP_E_MEMORY, EP_E_ARG
/// (too many parameters), what ep_burn_run refuses.
ep_status ep_look_at(const ep_model_run *r, int threads, ep_look **out);
/// Room for a look, all zero. EP_E_MEMORY.
ep_status ep_look_make(int n_params, int n_data, ep_look **out);
void ep_look_destroy(ep_look *k);

/// As bytes, and back for the same wick; EP_E_PARSE when they are not a look at it. Raise
/// EP_LOOK_METHOD with every change that moves looks from the same readings.
#define EP_LOOK_METHOD 2
ep_status ep_look_write(const ep_look *k, unsigned char **bytes, size_t *len);
ep_status ep_look_read(const unsigned char *bytes, size_t len, const ep_model_run *r,
                       ep_look **out);

/// The pages: files built from ui/ and packed into the program, or read from a folder while they
/// are being designed.
/// Needs: http, target. Thread use: any after opening.
#pragma once
#include "web/http.h"
#include "web/target.h"

/// One packed file. Everything is static for the program's life.
typedef struct ep_asset {
    const char *path;  ///< "app.js", "fonts/text.woff2"
    const char *etag;  ///< quoted hash of the content
    const unsigned char *raw, *raw_end;
    const unsigned char *gz, *gz_end;  ///< gz == gz_end when compressing gained nothing
} ep_asset;

/// Written by tools/pack-assets at build time; n is 0 when ui/dist was not there.
extern const ep_asset ep_assets_packed[];
extern const int ep_assets_packed_n;

typedef struct ep_assets {
    int dir_fd;  ///< folder read from, or -1 for the packed files
} ep_assets;

/// @param dir  folder, or NULL for the packed files
/// @return EP_E_IO when the folder cannot be opened
ep_status ep_assets_open(const char *dir, ep_assets *out, ep_err *err);
void ep_assets_close(ep_assets *a);

/// Is there a first page?
bool ep_assets_have_pages(const ep_assets *a);

/// Answer a GET or HEAD outside /api/. A path that names no file and has no dot in its last part is
/// a place inside the pages: the first page answers. The reply may own memory.
void ep_assets_answer(const ep_assets *a, const ep_http_req *rq, const ep_target *target,
                      ep_http_reply *reply);

/// Content type by file name; "application/octet-stream" when unknown.
const char *ep_assets_type(const char *path);

/// Does the client take gzip? (Accept-Encoding of RFC 9110, 12.5.3.)
bool ep_assets_accepts_gzip(const ep_http_req *rq);

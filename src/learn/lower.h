/// Lower triangles: the root of a symmetric matrix (Cholesky) and what is solved with it. Matrices
/// n x n, row by row. Needs: nothing.
#pragma once

/// A = L L' in place, from and into the lower triangle; what lies above is left as it is. Pivots
/// are held at `least` or more, so that rounding cannot end it.
void ep_lower_root(double *A, int n, double least);
/// L x = b; x may be b.
void ep_lower_forward(const double *L, int n, const double *b, double *x);
/// L' x = b; x may be b.
void ep_lower_back(const double *L, int n, const double *b, double *x);

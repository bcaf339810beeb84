// Cholesky's root and substitution, both ways.
#include "learn/lower.h"

#include <math.h>

void ep_lower_root(double *A, int n, double least)
{
    for (int i = 0; i < n; i++) {
        for (int j = 0; j <= i; j++) {
            double sum = A[i * n + j];
            for (int k = 0; k < j; k++) {
                sum -= A[i * n + k] * A[j * n + k];
            }
            A[i * n + j] = i == j ? sqrt(fmax(sum, least)) : sum / A[j * n + j];
        }
    }
}

void ep_lower_forward(const double *L, int n, const double *b, double *x)
{
    for (int i = 0; i < n; i++) {
        double sum = b[i];
        for (int k = 0; k < i; k++) {
            sum -= L[i * n + k] * x[k];
        }
        x[i] = sum / L[i * n + i];
    }
}

void ep_lower_back(const double *L, int n, const double *b, double *x)
{
    for (int i = n - 1; i >= 0; i--) {
        double sum = b[i];
        for (int k = i + 1; k < n; k++) {
            sum -= L[k * n + i] * x[k];
        }
        x[i] = sum / L[i * n + i];
    }
}

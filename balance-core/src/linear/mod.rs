//! Matrices: the only place that names the matrix library.

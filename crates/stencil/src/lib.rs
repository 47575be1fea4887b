//! stencil

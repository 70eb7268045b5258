//! Parts and their variants.

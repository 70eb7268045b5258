//! Bills of materials.

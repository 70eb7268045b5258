use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// A fresh folder that is removed with all that is in it.
pub struct Folder(PathBuf);

static COUNT: AtomicU32 = AtomicU32::new(0);

impl Folder {
    pub fn new(name: &str) -> Self {
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let folder = format!("kitwright-{name}-{}-{count}", std::process::id());
        let path = std::env::temp_dir().join(folder);
        std::fs::create_dir_all(&path).expect("a folder can be made");
        Self(path)
    }

    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // What can't be removed here is the system's to clear.
        drop(std::fs::remove_dir_all(&self.0));
    }
}

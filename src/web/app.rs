use std::sync::Arc;

use actix_web::web;
use chrono::NaiveDateTime;

use crate::error::Error;
use crate::ops::backup::Watch;
use crate::store::{Changes, Conn, Database, Tx, Who};

use super::tries::Tries;

/// What the service is told when it starts.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The address under which riders' phones reach it, without a slash at the end.
    pub public_url: String,
}

impl Settings {
    /// Returns whether cookies may travel over TLS only.
    pub fn is_secure(&self) -> bool {
        self.public_url.starts_with("https://")
    }
}

/// What every request shares.
#[derive(Clone)]
pub struct App {
    database: Arc<Database>,
    settings: Arc<Settings>,
    tries: Arc<Tries>,
    backups: Arc<Watch>,
}

impl App {
    /// Returns the app over those books.
    pub fn new(database: Arc<Database>, settings: Settings) -> Self {
        Self {
            database,
            settings: Arc::new(settings),
            tries: Arc::default(),
            backups: Arc::default(),
        }
    }

    /// Returns the app with what tells of backups that failed.
    pub fn watching(self, backups: Arc<Watch>) -> Self {
        Self { backups, ..self }
    }

    /// Returns why the last backup that was due failed, in words; nothing when it was made.
    pub fn backup_trouble(&self) -> Option<String> {
        self.backups.trouble()
    }

    /// Returns what the service was told when it started.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Returns the wrong passwords of the last minutes.
    pub fn tries(&self) -> &Tries {
        &self.tries
    }

    /// Returns the time now.
    pub fn now(&self) -> NaiveDateTime {
        self.database.now()
    }

    /// Returns what a long computation comes to, off the threads that answer requests.
    ///
    /// # Errors
    ///
    /// What `compute` answers.
    pub async fn compute<T: Send + 'static>(
        &self,
        compute: impl FnOnce() -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        web::block(compute).await.map_err(blocked)?
    }

    /// Returns what tells of each change of the books from now on.
    pub fn follow(&self) -> Changes {
        self.database.follow()
    }

    /// Returns what `read` finds, off the threads that answer requests.
    ///
    /// # Errors
    ///
    /// What `read` answers.
    pub async fn read<T: Send + 'static>(
        &self,
        read: impl FnOnce(&mut Conn) -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        let database = Arc::clone(&self.database);
        web::block(move || database.read(read)).await.map_err(blocked)?
    }

    /// Does `work` in one transaction, off the threads that answer requests.
    ///
    /// # Errors
    ///
    /// What `work` answers.
    pub async fn write<T: Send + 'static>(
        &self,
        who: Who,
        work: impl Fn(&mut Tx<'_>) -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        let database = Arc::clone(&self.database);
        web::block(move || database.write(who, work)).await.map_err(blocked)?
    }

    /// Does `work` as [`Self::write`] would, where it takes long: see [`Database::write_long`].
    ///
    /// # Errors
    ///
    /// What `work` answers.
    pub async fn write_long<T: Send + 'static>(
        &self,
        who: Who,
        work: impl Fn(&mut Tx<'_>) -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        let database = Arc::clone(&self.database);
        web::block(move || database.write_long(who, work)).await.map_err(blocked)?
    }

    /// Does `work` as [`Self::write`] would, and undoes it.
    ///
    /// # Errors
    ///
    /// What `work` answers.
    pub async fn rehearse<T: Send + 'static>(
        &self,
        who: Who,
        work: impl Fn(&mut Tx<'_>) -> Result<T, Error> + Send + 'static,
    ) -> Result<T, Error> {
        let database = Arc::clone(&self.database);
        web::block(move || database.rehearse(who, work)).await.map_err(blocked)?
    }
}

fn blocked(fault: actix_web::error::BlockingError) -> Error {
    Error::Internal(format!("a worker thread ended: {fault}"))
}

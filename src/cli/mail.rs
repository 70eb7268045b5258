//! The mail server, as the command line and the environment name it.

use clap::Args;

use crate::ops::outbox::MailServerEntry;

#[derive(Debug, Clone, Args)]
pub(super) struct MailServer {
    /// The shop's mail server as HOST:PORT; it is kept in the books
    #[arg(long, env = "KITWRIGHT_MAIL_SERVER")]
    mail_server: Option<String>,
    /// How its connection is encrypted: starttls, tls or none; it is kept in the books
    #[arg(long, env = "KITWRIGHT_MAIL_SECURITY")]
    mail_security: Option<String>,
    /// The log-in that the mail server wants; it is kept in the books
    #[arg(long, env = "KITWRIGHT_MAIL_LOGIN")]
    mail_login: Option<String>,
    /// The password of that log-in, better given by the environment; it is kept in the books
    #[arg(long, env = "KITWRIGHT_MAIL_PASSWORD", hide_env_values = true)]
    mail_password: Option<String>,
    /// The address that the shop's e-mail comes from; it is kept in the books
    #[arg(long, env = "KITWRIGHT_MAIL_FROM")]
    mail_from: Option<String>,
}

impl MailServer {
    /// Returns what is said of the mail server.
    pub(super) fn entry(&self) -> MailServerEntry {
        MailServerEntry {
            server: self.mail_server.clone(),
            security: self.mail_security.clone(),
            login: self.mail_login.clone(),
            password: self.mail_password.clone(),
            from: self.mail_from.clone(),
        }
    }
}

use crate::courier::{MailSecurity, MailServer};
use crate::error::Error;
use crate::ops::printers::stored;
use crate::store::{Conn, Tx, people};

/// The settings that hold the mail server.
const SERVER: &str = "mail server";
const SECURITY: &str = "mail security";
const LOGIN: &str = "mail login";
const PASSWORD: &str = "mail password";
const FROM: &str = "mail from";

/// What is said of the mail server; what is `None` stays as it is.
#[derive(Clone, Default, PartialEq, Eq)]
pub struct MailServerEntry {
    /// Its name and port, such as mail.skarnholt.example:587.
    pub server: Option<String>,
    /// starttls, tls or none.
    pub security: Option<String>,
    /// The log-in; empty where the server wants none.
    pub login: Option<String>,
    /// The password of the log-in.
    pub password: Option<String>,
    /// The address that letters come from.
    pub from: Option<String>,
}

impl MailServerEntry {
    /// Returns whether nothing is said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// Loads the shop's mail server; nothing where nobody has named one.
///
/// # Errors
///
/// [`Error::Database`].
pub fn mail_server(conn: &mut Conn) -> Result<Option<MailServer>, Error> {
    let Some(server) = people::setting(conn, SERVER)?.filter(|it| !it.is_empty()) else {
        return Ok(None);
    };
    let mut get = |name| people::setting(conn, name).map(Option::unwrap_or_default);
    let (security, login) = (get(SECURITY)?, get(LOGIN)?);
    let (password, from) = (get(PASSWORD)?, get(FROM)?);
    stored(read(&server, &security, &login, &password, &from)).map(Some)
}

/// Keeps what is said of the mail server.
///
/// # Errors
///
/// [`Error::Invalid`] for what can't be.
pub fn set_mail_server(tx: &mut Tx<'_>, entry: &MailServerEntry) -> Result<(), Error> {
    let mut merged = |name, said: &Option<String>| match said {
        Some(said) => Ok(said.trim().to_owned()),
        None => people::setting(tx.conn, name).map(Option::unwrap_or_default),
    };
    let server = merged(SERVER, &entry.server)?;
    let security = Some(merged(SECURITY, &entry.security)?).filter(|it| !it.is_empty());
    let security = security.unwrap_or_else(|| MailSecurity::StartTls.word().to_owned());
    let (login, from) = (merged(LOGIN, &entry.login)?, merged(FROM, &entry.from)?);
    let password = merged(PASSWORD, &entry.password)?;
    read(&server, &security, &login, &password, &from)
        .map_err(|fault| Error::invalid("outbox.mail_server", fault))?;
    let all = [
        (SERVER, server),
        (SECURITY, security),
        (LOGIN, login),
        (PASSWORD, password),
        (FROM, from),
    ];
    for (name, value) in all {
        people::put_setting(tx.conn, name, &value)?;
    }
    Ok(())
}

fn read(
    server: &str,
    security: &str,
    login: &str,
    password: &str,
    from: &str,
) -> Result<MailServer, String> {
    let fault = || format!("'{server}' is no mail server: write it as HOST:PORT");
    let (host, port) = server.rsplit_once(':').ok_or_else(fault)?;
    let port = port.parse().ok().filter(|it| *it != 0).ok_or_else(fault)?;
    let host = host.trim_start_matches('[').trim_end_matches(']');
    let named = |it: u8| it.is_ascii_alphanumeric() || b"-._:".contains(&it);
    if host.is_empty() || !host.bytes().all(named) {
        return Err(fault());
    }
    let security: MailSecurity = security.parse()?;
    if !login.is_empty() && security == MailSecurity::Plain {
        return Err("a password never travels in the clear: take starttls or tls".to_owned());
    }
    let from = from.parse().map_err(|fault| format!("the shop's own address: {fault}"))?;
    let login = (!login.is_empty()).then(|| (login.to_owned(), password.to_owned()));
    Ok(MailServer { host: host.to_owned(), port, security, login, from })
}

//! Hosts and ports, as addresses of devices and services name them.

/// Returns the host in small letters, without brackets, and the port; `usual_port` where none is
/// named.
///
/// # Errors
///
/// What is wrong, in words.
pub(in crate::domain) fn host_and_port(
    authority: &str,
    usual_port: u16,
) -> Result<(String, u16), &'static str> {
    let (host, port) = match authority.strip_prefix('[') {
        Some(rest) => {
            let (host, port) = rest.split_once(']').ok_or("its [ is never closed")?;
            host.parse::<std::net::Ipv6Addr>().map_err(|_| "between [ and ] no IPv6 address")?;
            (host, port.strip_prefix(':').or((port.is_empty()).then_some("")))
        }
        None => match authority.split_once(':') {
            Some((host, port)) => (host, Some(port)),
            None => (authority, Some("")),
        },
    };
    let named = |it: u8| it.is_ascii_alphanumeric() || b"-._:".contains(&it);
    if host.is_empty() || !host.bytes().all(named) {
        return Err("its host is no name of letters, digits, dots and hyphens, and no IP address");
    }
    let port = match port {
        Some("") => usual_port,
        Some(port) => port.parse().ok().filter(|it| *it != 0).ok_or("its port is no number")?,
        None => return Err("after ] there is neither a port nor a path"),
    };
    Ok((host.to_ascii_lowercase(), port))
}

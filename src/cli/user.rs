use std::io::BufRead;
use std::process::ExitCode;

use clap::{Args, Subcommand};

use crate::domain::people::Role;
use crate::error::Error;
use crate::ops::people;
use crate::store::Who;

use super::Books;

#[derive(Debug, Args)]
pub(super) struct User {
    #[command(subcommand)]
    verb: UserVerb,
    #[command(flatten)]
    books: Books,
}

#[derive(Debug, Subcommand)]
enum UserVerb {
    /// Add a person; the password is read from standard input
    Add {
        /// The name typed to log in
        login: String,
        /// The person's name
        #[arg(long)]
        name: String,
        /// warehouse, receiver, buyer or owner
        #[arg(long)]
        role: Role,
    },
    /// List the people
    List,
    /// Keep a person from logging in, and end their sessions and device tokens
    Disable {
        /// The name typed to log in
        login: String,
    },
}

/// Adds, lists or disables people.
pub(super) fn run(it: &User) -> Result<ExitCode, Error> {
    let books = it.books.open()?;
    match &it.verb {
        UserVerb::Add { login, name, role } => {
            eprintln!("Password for {login} (10 characters or more):");
            let mut password = String::new();
            std::io::stdin().lock().read_line(&mut password).map_err(|fault| {
                Error::invalid("cli.password", format!("the password can't be read: {fault}"))
            })?;
            let password = password.trim_end_matches(['\r', '\n']);
            books.write(Who::Program, |tx| people::add_user(tx, login, name, *role, password))?;
            println!("{login} may log in as {}", role.as_str());
        }
        UserVerb::List => {
            for user in books.read(people::users)? {
                let active = if user.active { "active" } else { "disabled" };
                println!("{}\t{}\t{}\t{active}", user.login, user.role, user.name);
            }
        }
        UserVerb::Disable { login } => {
            books.write(Who::Program, |tx| people::set_active(tx, login, false))?;
            println!("{login} may no longer log in");
        }
    }
    Ok(ExitCode::SUCCESS)
}

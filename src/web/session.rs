//! Who a visitor is: a browser that has a cookie of this program, and on a network one that was let in with the key.
//!
//! The cookie holds a number, whether its holder was let in, and the mark of both ([`super::secret`]); it is out of reach of scripts
//! and of requests from other sites. Every form carries the mark of its session besides, so that a form of one browser is nothing in
//! another.

use super::secret::{self, Secret};
use std::sync::{Mutex, PoisonError};

/// A visitor's session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Session {
    number: String,
    let_in: bool,
}

/// What a key was worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tried {
    /// It was the key; it is used up.
    LetIn,
    /// It was not.
    Wrong,
}

/// Who hears the key.
pub type Tell = Box<dyn Fn(&str) + Send>;

/// Sessions and the key to them.
pub struct Sessions {
    secret: Secret,
    cookie: String,
    key: Option<Mutex<Key>>,
}

struct Key {
    current: String,
    tell: Tell,
}

impl Sessions {
    /// Sessions of a program at this port. With `tell`, visitors need a key: it is told, anew each time one was used up.
    ///
    /// # Errors
    ///
    /// What the system says, if it has no source of chance.
    pub fn new(port: u16, tell: Option<Tell>) -> Result<Self, getrandom::Error> {
        let key = match tell {
            None => None,
            Some(tell) => {
                let current = secret::key()?;
                tell(&current);
                Some(Mutex::new(Key { current, tell }))
            }
        };
        // Cookies do not tell ports apart, and two programs may run on one machine.
        Ok(Self { secret: Secret::new()?, cookie: format!("wellbled_{port}"), key })
    }

    /// Whether visitors need the key.
    pub fn need_key(&self) -> bool {
        self.key.is_some()
    }

    /// A new session.
    ///
    /// # Errors
    ///
    /// What the system says, if it has no source of chance.
    pub fn open(&self, let_in: bool) -> Result<Session, getrandom::Error> {
        Ok(Session { number: secret::number()?, let_in: let_in || self.key.is_none() })
    }

    /// The session that a request's `Cookie` headers name, if its mark is right.
    pub fn of<'a>(&self, cookies: impl Iterator<Item = &'a str>) -> Option<Session> {
        let mut pairs = cookies.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
        let (value, mark) = pairs.find(|(name, _)| *name == self.cookie)?.1.split_once('.')?;
        let session = Session { number: value.get(1..)?.to_owned(), let_in: value.starts_with('a') };
        secret::same(mark, &self.mark("cookie", &session)).then_some(session)
    }

    /// The `Set-Cookie` of a session.
    pub fn set_cookie(&self, session: &Session) -> String {
        let mark = self.mark("cookie", session);
        format!("{}={}.{mark}; HttpOnly; SameSite=Strict; Path=/", self.cookie, session.value())
    }

    /// What every form of this session carries.
    pub fn form_token(&self, session: &Session) -> String {
        self.mark("form", session)
    }

    /// Whether a form is of this session.
    pub fn is_form_of(&self, token: &str, session: &Session) -> bool {
        secret::same(token, &self.form_token(session))
    }

    /// Tries a key; capitals, blanks and dashes do not matter. A key that was right is used up and replaced. One that was not costs nothing:
    /// among 58 bits nobody finds it by trying, and whoever tries could otherwise keep others out by using keys up.
    ///
    /// # Errors
    ///
    /// What the system says, if it has no source of chance.
    pub fn try_key(&self, typed: &str) -> Result<Tried, getrandom::Error> {
        let Some(key) = &self.key else { return Ok(Tried::LetIn) };
        let bare = |text: &str| text.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_ascii_lowercase();
        let mut key = key.lock().unwrap_or_else(PoisonError::into_inner);
        let right = secret::same(&bare(typed), &bare(&key.current));
        if right {
            key.current = secret::key()?;
            (key.tell)(&key.current);
        }
        Ok(if right { Tried::LetIn } else { Tried::Wrong })
    }

    fn mark(&self, what: &str, session: &Session) -> String {
        self.secret.mark(&format!("{what} {}", session.value()))
    }
}

impl Session {
    /// Whether its holder was let in, or needs no key.
    pub fn let_in(&self) -> bool {
        self.let_in
    }

    fn value(&self) -> String {
        format!("{}{}", if self.let_in { 'a' } else { 'v' }, self.number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    #[test]
    fn a_session_is_known_by_its_cookie_and_no_other() {
        let sessions = Sessions::new(1, None).unwrap();
        let session = sessions.open(false).unwrap();
        let cookie = sessions.set_cookie(&session);
        assert!(cookie.ends_with("; HttpOnly; SameSite=Strict; Path=/"));
        let pair = cookie.split(';').next().unwrap();
        assert_eq!(sessions.of([pair].into_iter()), Some(session.clone()));
        assert_eq!(sessions.of(["other=1; x", &format!("theme=2; {pair}")].into_iter()), Some(session.clone()));
        for wrong in [
            pair.replace("wellbled_1=a", "wellbled_1=v"),
            pair.replace("wellbled_1", "wellbled_2"),
            format!("{pair}0"),
            "wellbled_1=".to_owned(),
        ] {
            assert_eq!(sessions.of([wrong.as_str()].into_iter()), None, "{wrong}");
        }
        assert_eq!(Sessions::new(1, None).unwrap().of([pair].into_iter()), None, "another program's");
        let other = sessions.open(false).unwrap();
        assert!(
            sessions.is_form_of(&sessions.form_token(&session), &session) && !sessions.is_form_of(&sessions.form_token(&other), &session)
        );
    }

    #[test]
    fn a_key_opens_once_whatever_else_was_tried() {
        let told = Arc::new(Mutex::new(Vec::new()));
        let hears = told.clone();
        let sessions = Sessions::new(1, Some(Box::new(move |key| hears.lock().unwrap().push(key.to_owned())))).unwrap();
        assert!(!sessions.open(false).unwrap().let_in() && sessions.open(true).unwrap().let_in());
        let first = told.lock().unwrap()[0].clone();
        assert_eq!(sessions.try_key(&first.to_uppercase().replace('-', " ")), Ok(Tried::LetIn));
        assert_eq!(sessions.try_key(&first), Ok(Tried::Wrong), "it is used up");
        let second = told.lock().unwrap()[1].clone();
        (0..1000).for_each(|_| assert_eq!(sessions.try_key("nothing"), Ok(Tried::Wrong)));
        assert_eq!(sessions.try_key(&second), Ok(Tried::LetIn));
        assert_eq!(told.lock().unwrap().len(), 3);
    }
}

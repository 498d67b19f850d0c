//! As much of TypeScript as `script.d.ts` is written in, and values held against it.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

#[derive(Debug, Clone)]
enum Type {
    /// `unknown`.
    Anything,
    Text,
    Number,
    Truth,
    Null,
    /// One text, in quotes.
    Literal(String),
    List(Box<Type>),
    Tuple(Vec<Type>),
    Object(Keys),
    /// One of several.
    Union(Vec<Type>),
    Named(String),
    /// The type of a key of a named one: `Working["inputs"]`.
    KeyOf(String, String),
}

type Keys = BTreeMap<String, Type>;

/// The types of a declaration, by name.
pub struct Declarations(BTreeMap<String, Type>);

impl Declarations {
    /// Reads a declaration; panics at what it does not know.
    pub fn read(text: &str) -> Self {
        let mut reader = Reader {
            tokens: tokens(text),
            at: 0,
        };
        let mut types = BTreeMap::new();
        while reader.at < reader.tokens.len() {
            reader.expect("export");
            let kind = reader.next();
            let name = reader.next();
            let declared = match kind.as_str() {
                "interface" => {
                    let base = reader.takes("extends").then(|| reader.next());
                    reader.expect("{");
                    let mut keys = reader.keys();
                    if let Some(base) = base {
                        let Some(Type::Object(more)) = types.get(&base) else {
                            panic!("{name} extends {base}, which comes later or has no keys");
                        };
                        keys.extend(more.clone());
                    }
                    Type::Object(keys)
                }
                "type" => {
                    reader.expect("=");
                    let of = reader.of();
                    reader.expect(";");
                    of
                }
                other => panic!("`export {other}`"),
            };
            types.insert(name, declared);
        }
        Self(types)
    }

    /// The names of the types.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }

    /// Whether a value is of the named type, else where it is not. The names of the types
    /// that it has values of are added to `met`.
    pub fn check(
        &self,
        name: &str,
        value: &Value,
        met: &mut BTreeSet<String>,
    ) -> Result<(), String> {
        self.holds(&Type::Named(name.into()), value, name, met)
    }

    fn holds(
        &self,
        of: &Type,
        value: &Value,
        place: &str,
        met: &mut BTreeSet<String>,
    ) -> Result<(), String> {
        let fits = match (of, value) {
            (Type::Anything, _) | (Type::Null, Value::Null) => true,
            (Type::Text, Value::String(_)) | (Type::Number, Value::Number(_)) => true,
            (Type::Truth, Value::Bool(_)) => true,
            (Type::Literal(text), Value::String(value)) => text == value,
            (Type::List(of), Value::Array(items)) => {
                for (at, item) in items.iter().enumerate() {
                    self.holds(of, item, &format!("{place}[{at}]"), met)?;
                }
                true
            }
            (Type::Tuple(types), Value::Array(items)) if types.len() == items.len() => {
                for (at, (of, item)) in types.iter().zip(items).enumerate() {
                    self.holds(of, item, &format!("{place}[{at}]"), met)?;
                }
                true
            }
            (Type::Object(keys), Value::Object(values)) => {
                for key in keys.keys().chain(values.keys()) {
                    let place = format!("{place}.{key}");
                    match (keys.get(key), values.get(key)) {
                        (Some(of), Some(value)) => self.holds(of, value, &place, met)?,
                        (Some(_), None) => return Err(format!("{place} is declared only")),
                        (None, _) => return Err(format!("{place} is not declared")),
                    }
                }
                true
            }
            (Type::Union(types), _) => types.iter().any(|of| {
                let mut more = met.clone();
                let holds = self.holds(of, value, place, &mut more).is_ok();
                if holds {
                    *met = more;
                }
                holds
            }),
            (Type::Named(name), _) => {
                met.insert(name.clone());
                return self.holds(self.named(name), value, place, met);
            }
            (Type::KeyOf(name, key), _) => match self.named(name) {
                Type::Object(keys) => return self.holds(&keys[key], value, place, met),
                _ => panic!("{name} has no keys"),
            },
            _ => false,
        };
        if fits {
            return Ok(());
        }
        let text: String = value.to_string().chars().take(200).collect();
        Err(format!("{place} is {text}, declared as {of:?}"))
    }

    fn named(&self, name: &str) -> &Type {
        let named = self.0.get(name);
        named.unwrap_or_else(|| panic!("{name} is not declared"))
    }
}

/// Words, texts in quotes, and single signs; comments left out.
fn tokens(text: &str) -> Vec<String> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let length = if rest.starts_with("/*") {
            rest.find("*/").expect("a comment ends") + 2
        } else if first == '"' {
            rest[1..].find('"').expect("a text ends") + 2
        } else if first.is_alphanumeric() {
            let ends = |c: char| !(c.is_alphanumeric() || c == '_');
            rest.find(ends).unwrap_or(rest.len())
        } else {
            first.len_utf8()
        };
        let (token, after) = rest.split_at(length);
        if !token.starts_with("/*") {
            tokens.push(token.to_owned());
        }
        rest = after.trim_start();
    }
    tokens
}

struct Reader {
    tokens: Vec<String>,
    at: usize,
}

impl Reader {
    fn next(&mut self) -> String {
        let token = self.tokens.get(self.at).expect("more to come").clone();
        self.at += 1;
        token
    }

    fn takes(&mut self, token: &str) -> bool {
        let there = self.tokens.get(self.at).is_some_and(|t| t == token);
        self.at += usize::from(there);
        there
    }

    fn expect(&mut self, token: &str) {
        let found = self.next();
        assert_eq!(found, token, "at token {}", self.at);
    }

    /// `key: type; …}`.
    fn keys(&mut self) -> Keys {
        let mut keys = Keys::new();
        while !self.takes("}") {
            let key = self.next().trim_matches('"').to_owned();
            self.expect(":");
            assert!(
                keys.insert(key.clone(), self.of()).is_none(),
                "{key} is declared twice"
            );
            if !self.takes(";") {
                self.expect("}");
                break;
            }
        }
        keys
    }

    /// A type, which may be a union.
    fn of(&mut self) -> Type {
        let mut types = vec![self.single()];
        while self.takes("|") {
            types.push(self.single());
        }
        if types.len() > 1 {
            Type::Union(types)
        } else {
            types.remove(0)
        }
    }

    fn single(&mut self) -> Type {
        let token = self.next();
        let mut of = match token.as_str() {
            "unknown" => Type::Anything,
            "string" => Type::Text,
            "number" => Type::Number,
            "boolean" => Type::Truth,
            "null" => Type::Null,
            "{" => Type::Object(self.keys()),
            "(" => {
                let of = self.of();
                self.expect(")");
                of
            }
            "[" => {
                let mut types = vec![self.of()];
                while self.takes(",") {
                    types.push(self.of());
                }
                self.expect("]");
                Type::Tuple(types)
            }
            text if text.starts_with('"') => Type::Literal(text.trim_matches('"').into()),
            name => Type::Named(name.into()),
        };
        while self.takes("[") {
            if self.takes("]") {
                of = Type::List(Box::new(of));
                continue;
            }
            let key = self.next();
            self.expect("]");
            of = match of {
                Type::Named(name) => Type::KeyOf(name, key.trim_matches('"').into()),
                other => panic!("a key of {other:?}"),
            };
        }
        of
    }
}

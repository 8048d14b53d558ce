/// A commented case that runs as it is: every number in it is invented.
pub const TEMPLATE: &str = include_str!("template.toml");

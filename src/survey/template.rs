/// A commented survey to start from: every number in it is invented.
pub const SURVEY_TEMPLATE: &str = include_str!("template.csv");

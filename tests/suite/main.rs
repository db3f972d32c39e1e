#[test] fn t(){}
mod draws;

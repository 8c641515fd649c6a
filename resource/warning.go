package resource

// Warning says that a result leans on something weak. Code is stable and snake_case; Detail is a sentence a builder can
// act on, with the numbers in it.
type Warning struct{ Code, Detail string }

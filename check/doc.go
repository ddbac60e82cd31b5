// Package check says what does not go together: rules over a build's inputs and figures, and makers' claims judged.
//
// Figures with their ranges and the resolved build go in; findings come out, each a sentence with numbers, a remedy and
// a basis. One small function per rule. It holds no physics: what a rule needs computed is a figure of package
// forecast.
package check

// Package web is the pages: local, over a workshop file, for a person at a bench.
//
// HTTP requests from this machine go in; whole pages come out, which work without a script, and a small script that
// swaps what has changed. It knows what a person can do (packages workshop and app) and how to show it (package
// report); it computes nothing, reads no sheet and touches no file. Requests from other origins and hosts are refused.
package web

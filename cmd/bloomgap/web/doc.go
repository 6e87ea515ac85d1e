// Package web is the page of this machine: a form that asks about one hive, the
// plan of an opened season folder, and the guard that lets only a browser on this
// machine ask. It reads no files of its own and writes none; the clock and the
// stream of errors are handed to it.
package web

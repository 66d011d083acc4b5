//go:build !linux

package localdb

import "syscall"

// dieWithParent can do nothing here: the next start on the directory stops the server that was left.
func dieWithParent(*syscall.SysProcAttr) {}

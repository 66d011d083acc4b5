package localdb

import "syscall"

// dieWithParent has the kernel ask the server for a fast stop when the process that started it ends.
func dieWithParent(attr *syscall.SysProcAttr) { attr.Pdeathsig = syscall.SIGINT }

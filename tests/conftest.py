"""Before any test imports a kernel: keep compiled kernels where the program keeps them."""

from lampwright.kernels import keep_kernels

keep_kernels()

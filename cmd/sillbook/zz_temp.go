package main

import "github.com/spf13/cobra"

func demo() *cobra.Command  { return &cobra.Command{Use: "demo"} }
func bench() *cobra.Command { return &cobra.Command{Use: "bench"} }

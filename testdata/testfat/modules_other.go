//go:build !linux

package testfat

import "testing"

func loadModules(t testing.TB) { t.Skip("needs Linux") }

package prepare_test

import (
	"os"
	"testing"

	"garner/testdata/testjob"
)

func TestMain(m *testing.M) { os.Exit(testjob.Run(m)) }

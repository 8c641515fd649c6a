//go:build ignore

// Packs the contract, as the program carries it: it weighs a fifth then.
package main

import (
	"bytes"
	"compress/gzip"
	"log"
	"os"
)

func main() {
	text, err := os.ReadFile("openapi.yaml")
	if err != nil {
		log.Fatal(err)
	}
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(text)
	}
	if err == nil {
		err = w.Close()
	}
	if err == nil {
		err = os.WriteFile("openapi.yaml.gz", b.Bytes(), 0o644)
	}
	if err != nil {
		log.Fatal(err)
	}
}

package fetch_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"mastworth/resource/fetch"
)

// Without a network, a fetch says what it lacks.
func ExampleClient_Fetch() {
	folder, err := os.MkdirTemp("", "answers")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(folder) //nolint:errcheck // the system clears its temporary files
	cache, err := fetch.NewDiskCache(filepath.Join(folder, "cache"))
	if err != nil {
		fmt.Println(err)
		return
	}
	client, err := fetch.New(fetch.Options{Cache: cache, Offline: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	_, _, _, err = client.Fetch(context.Background(), fetch.Place{Lat: 52.27, Lon: 6.82}, fetch.Years{From: 2014, To: 2023}, fetch.Source{Archive: fetch.NASAPower})
	fmt.Println(err)
	fmt.Println(errors.Is(err, fetch.ErrOffline))
	// Output:
	// nasa_power, year 2014: the answer is not in the cache, and offline no service is asked; fetch it once while online
	// true
}

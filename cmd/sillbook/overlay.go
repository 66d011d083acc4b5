package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"

	"github.com/goccy/go-yaml"
	"github.com/spf13/cobra"

	"sillbook/api/client"
	"sillbook/testdata/overlays"
)

// overlay enters places' own rules through the API, from files or the published examples. What is entered already stays as it is.
func overlay() *cobra.Command {
	var url, key string
	var published bool
	cmd := &cobra.Command{Use: "overlay [FILE]...", Short: "Enter the rules of states, tribes and cities, from YAML files",
		Long: "Enters each file as an overlay of the key's organization; one that was entered before is brought up to date. A file is the body of an overlay, with one of its external ids.\n" +
			"--published enters the examples that come with the program. They are no complete statement of any place's law: check them with the place.",
		RunE: func(cmd *cobra.Command, args []string) error {
			files, err := overlayFiles(args, published)
			if err != nil {
				return err
			}
			caller, err := client.NewClientWithResponses(url, client.WithRequestEditorFn(func(_ context.Context, r *http.Request) error {
				r.Header.Set("Authorization", "Bearer "+key)
				return nil
			}))
			if err != nil {
				return err
			}
			for _, f := range files {
				what, err := enter(cmd.Context(), caller, f.text)
				if err != nil {
					return fmt.Errorf("%s: %w", f.name, err)
				}
				fmt.Fprintf(cmd.OutOrStdout(), "%s: %s\n", f.name, what)
			}
			return nil
		}}
	cmd.Flags().StringVar(&url, "url", "http://127.0.0.1:8080", "where the service is")
	cmd.Flags().StringVar(&key, "key", "", "an owner's or manager's key")
	cmd.Flags().BoolVar(&published, "published", false, "enter the published examples")
	return cmd
}

type overlayFile struct {
	name string
	text []byte
}

func overlayFiles(paths []string, published bool) (files []overlayFile, err error) {
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		files = append(files, overlayFile{path, text})
	}
	if published {
		names, err := fs.Glob(overlays.Files, "*.yaml")
		if err != nil {
			return nil, err
		}
		for _, name := range names {
			text, err := overlays.Files.ReadFile(name)
			if err != nil {
				return nil, err
			}
			files = append(files, overlayFile{name, text})
		}
	}
	if len(files) == 0 {
		return nil, errors.New("name a file, or --published")
	}
	return files, nil
}

// enter puts one overlay and says what became of it.
func enter(ctx context.Context, caller *client.ClientWithResponses, text []byte) (string, error) {
	body, err := yaml.YAMLToJSON(text)
	if err != nil {
		return "", err
	}
	var told struct {
		ExternalIDs []struct {
			System string `json:"system"`
			Value  string `json:"value"`
		} `json:"external_ids"`
	}
	if err := json.Unmarshal(body, &told); err != nil {
		return "", err
	}
	if len(told.ExternalIDs) == 0 {
		return "", errors.New("external_ids is missing: under one of them it is found again")
	}
	id := told.ExternalIDs[0]
	answer, err := caller.PutOverlayByExternalIdWithBodyWithResponse(ctx, id.System, id.Value, nil, "application/json", bytes.NewReader(body))
	if err != nil {
		return "", err
	}
	switch answer.StatusCode() {
	case http.StatusCreated:
		return "entered", nil
	case http.StatusOK:
		return fmt.Sprintf("on record, version %d", answer.JSON200.Version), nil
	}
	return "", fmt.Errorf("the service answers %s: %s", answer.Status(), answer.Body)
}

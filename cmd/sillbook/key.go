package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/spf13/cobra"

	"sillbook/internal/app"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

// key makes and revokes keys at the database, for whoever runs the service and holds no key yet.
func key() *cobra.Command {
	var c app.Config
	cmd := &cobra.Command{Use: "key", Short: "Make and revoke keys at the database"}
	cmd.AddCommand(keyFirst(&c), keyMake(&c), keyRevoke(&c))
	for _, sub := range cmd.Commands() {
		sub.Flags().StringVar(&c.DatabaseURL, "database-url", "", "PostgreSQL that holds the book")
	}
	return cmd
}

func keyFirst(c *app.Config) *cobra.Command {
	return &cobra.Command{Use: "first NAME", Short: "Open an organization and print its owner's key, which may open others", Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return withStore(cmd.Context(), c, func(ctx context.Context, store *postgres.Store) error {
				text, err := app.OpenFirst(ctx, store, args[0])
				if err == nil {
					fmt.Fprintln(cmd.OutOrStdout(), text)
				}
				return err
			})
		}}
}

func keyMake(c *app.Config) *cobra.Command {
	var role, name string
	var scopes []string
	cmd := &cobra.Command{Use: "make ORGANIZATION", Short: "Make a key in an organization and print it", Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			k := postgres.Key{Name: name, Role: credential.Role(role), Scopes: []credential.Scope{}}
			if !k.Role.Known() {
				return fmt.Errorf("--role: %q is not owner, manager, crew, sampler or reader", role)
			}
			for _, scope := range scopes {
				if s := credential.Scope(scope); s.Known() {
					k.Scopes = append(k.Scopes, s)
					continue
				}
				return fmt.Errorf("--scope: %q is not restricted:read, restricted:write or organizations:write", scope)
			}
			return inOrganization(cmd.Context(), c, args[0], func(ctx context.Context, store *postgres.Store, call postgres.Call) error {
				_, text, err := store.CreateKey(ctx, call, k)
				if err == nil {
					fmt.Fprintln(cmd.OutOrStdout(), text)
				}
				return err
			})
		}}
	cmd.Flags().StringVar(&role, "role", string(credential.Owner), "owner, manager, crew, sampler or reader")
	cmd.Flags().StringVar(&name, "name", "Made at the database", "what the key is for")
	cmd.Flags().StringArrayVar(&scopes, "scope", nil, "restricted:read, restricted:write or organizations:write; may be given again")
	return cmd
}

func keyRevoke(c *app.Config) *cobra.Command {
	return &cobra.Command{Use: "revoke ORGANIZATION KEY", Short: "Revoke a key by its identifier", Args: cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := uuid.Parse(args[1])
			if err != nil {
				return fmt.Errorf("%q is not a key's identifier", args[1])
			}
			return inOrganization(cmd.Context(), c, args[0], func(ctx context.Context, store *postgres.Store, call postgres.Call) error {
				_, err := store.Revoke(ctx, call, "key", id)
				if err == nil {
					fmt.Fprintln(cmd.OutOrStdout(), "Revoked; running services refuse it within five seconds.")
				}
				return err
			})
		}}
}

func inOrganization(ctx context.Context, c *app.Config, organization string, do func(context.Context, *postgres.Store, postgres.Call) error) error {
	id, err := uuid.Parse(organization)
	if err != nil {
		return fmt.Errorf("%q is not an organization's identifier", organization)
	}
	return withStore(ctx, c, func(ctx context.Context, store *postgres.Store) error {
		call := postgres.Call{Caller: credential.Caller{Organization: id, Home: id, Role: credential.Owner}, Operation: "command line", RequestID: "command-line"}
		if _, _, err := store.Get(ctx, call, "organization", id, 0); err != nil {
			return fmt.Errorf("there is no organization %s in this book", id)
		}
		return do(ctx, store, call)
	})
}

func withStore(ctx context.Context, c *app.Config, do func(context.Context, *postgres.Store) error) error {
	if c.DatabaseURL == "" {
		return errors.New("give --database-url; a service with a private PostgreSQL makes keys at POST /v1/keys")
	}
	book, err := law.Embedded()
	if err != nil {
		return err
	}
	store, err := postgres.Open(ctx, postgres.Options{URL: c.DatabaseURL, Law: book, Now: time.Now})
	if err != nil {
		return err
	}
	defer store.Close()
	return do(ctx, store)
}

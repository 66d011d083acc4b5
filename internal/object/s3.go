package object

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"path"
	"strings"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
)

// BucketOptions say where a bucket is and who may use it.
type BucketOptions struct {
	Endpoint  string // https://host, https://host:port, or http for a store on a network of its own
	Bucket    string
	Region    string // empty: the store is asked
	AccessKey string
	SecretKey string
	Folder    string // in the bucket; empty: its top
}

// Bucket keeps bytes in a store that speaks the S3 protocol. Any number of instances may use one.
type Bucket struct {
	client *minio.Client
	bucket string
	folder string
}

// OpenBucket connects to a bucket that is there.
func OpenBucket(ctx context.Context, o BucketOptions) (*Bucket, error) {
	at, err := url.Parse(o.Endpoint)
	if err != nil || at.Scheme != "https" && at.Scheme != "http" || at.Host == "" || strings.Trim(at.Path, "/") != "" {
		return nil, fmt.Errorf("the endpoint for attachments %q is not of the form https://host:port", o.Endpoint)
	}
	if o.Bucket == "" || o.AccessKey == "" || o.SecretKey == "" {
		return nil, errors.New("a bucket for attachments needs its name, an access key and a secret key")
	}
	client, err := minio.New(at.Host, &minio.Options{Secure: at.Scheme == "https", Region: o.Region,
		Creds: credentials.NewStaticV4(o.AccessKey, o.SecretKey, "")})
	if err != nil {
		return nil, fmt.Errorf("the bucket for attachments cannot be used: %w", err)
	}
	there, err := client.BucketExists(ctx, o.Bucket)
	switch {
	case err != nil:
		return nil, fmt.Errorf("the bucket for attachments cannot be reached: %w", err)
	case !there:
		return nil, fmt.Errorf("there is no bucket %q for attachments that these keys may use", o.Bucket)
	}
	return &Bucket{client: client, bucket: o.Bucket, folder: strings.Trim(o.Folder, "/")}, nil
}

func (b *Bucket) name(key Key) string {
	folder, name := key.path()
	return path.Join(b.folder, folder, name)
}

// Put sends the bytes in one request, unless they are there.
func (b *Bucket) Put(ctx context.Context, key Key, from io.Reader, size int64) error {
	name := b.name(key)
	if there, err := b.client.StatObject(ctx, b.bucket, name, minio.StatObjectOptions{}); err == nil && there.Size == size {
		return nil
	}
	_, err := b.client.PutObject(ctx, b.bucket, name, from, size,
		minio.PutObjectOptions{ContentType: "application/octet-stream", DisableMultipart: true})
	if err != nil {
		return unavailable("The bytes could not be written where attachments are kept.", err)
	}
	return nil
}

// Open asks for an object. Nothing is asked for beyond what is read of it.
func (b *Bucket) Open(ctx context.Context, key Key) (io.ReadSeekCloser, error) {
	object, err := b.client.GetObject(ctx, b.bucket, b.name(key), minio.GetObjectOptions{})
	if err != nil {
		return nil, unavailable("The bytes could not be read where attachments are kept.", err)
	}
	_, err = object.Stat()
	if err == nil {
		return object, nil
	}
	object.Close() // says again what Stat has said
	if said, ok := errors.AsType[minio.ErrorResponse](err); ok && said.StatusCode == http.StatusNotFound {
		return nil, missing(err)
	}
	return nil, unavailable("The bytes could not be read where attachments are kept.", err)
}
